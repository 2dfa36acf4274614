using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Consent in words.</summary>
public static class ConsentWords
{
    /// <summary>How an entry stands, with the text it was given by and by whom.</summary>
    public static string Standing(ConsentEntry entry) => entry.Standing switch
    {
        ConsentStanding.Given => $"agreed, {Means(entry.How)}",
        ConsentStanding.Declined => $"declined, {Means(entry.How)}",
        _ => $"taken back, {Means(entry.Withdrawn?.How)}",
    } + $"; text {entry.Text.Version} ({entry.Text.Language}), {entry.By.InWords()}";

    /// <summary>How it was given.</summary>
    public static string Means(ConsentMeans? how) => how switch
    {
        ConsentMeans.Spoken => "spoken",
        ConsentMeans.KitScreen => "on the kit's screen",
        ConsentMeans.SignedPaper => "on signed paper",
        _ => "way not kept",
    };

    /// <summary>Without the spaces around what was typed; an empty doubt is none.</summary>
    public static ConsentParty Trimmed(ConsentParty party) => new(party.Substitute?.Trim(), party.Capacity?.Trim(), party.Doubt?.Trim() is { Length: > 0 } doubt ? doubt : null);

    /// <summary>What is missing about who answers, as a sentence; null when nothing is.</summary>
    public static string? PartyLacks(ConsentParty party) => party is { Substitute: not null } && (string.IsNullOrWhiteSpace(party.Substitute) || string.IsNullOrWhiteSpace(party.Capacity))
        ? "Write who answers for the person, and in what capacity."
        : null;
}
