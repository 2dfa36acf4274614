namespace TeleHearing.Clinician.Web.State;

/// <summary>Words that are the same from session to session, kept while the tab is open so that they are not typed again (WCAG 2.2, 3.3.7). Nothing about a person.</summary>
public sealed class FormMemory
{
    /// <summary>Language consent was asked in last, a tag of BCP 47.</summary>
    public string ConsentLanguage { get; set; } = "en";
}
