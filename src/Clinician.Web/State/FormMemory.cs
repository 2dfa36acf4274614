namespace TeleHearing.Clinician.Web.State;

/// <summary>Words that are the same from session to session, kept while the tab is open so that they are not typed again (WCAG 2.2, 3.3.7). Nothing about a person.</summary>
public sealed class FormMemory
{
    /// <summary>Version of the consent wording in use.</summary>
    public string ConsentWording { get; set; } = string.Empty;

    /// <summary>Language consent is asked in.</summary>
    public string ConsentLanguage { get; set; } = "English";
}
