namespace TeleHearing.Contracts;

/// <summary>A registration as it was shown when a card was confirmed.</summary>
/// <param name="Jurisdiction">Code of the place.</param>
/// <param name="Number">Number.</param>
/// <param name="Title">Title.</param>
/// <param name="ValidUntil">Last day it counts.</param>
public sealed record RegistrationShown(string Jurisdiction, string Number, string Title, DateOnly ValidUntil)
{
    /// <summary>In a line, as the site reads it.</summary>
    public override string ToString() => $"{Title}, {Number} ({Jurisdiction})";
}

/// <summary>The start card as it stands.</summary>
/// <param name="Card">The card.</param>
/// <param name="At">When it was confirmed.</param>
/// <param name="ConfirmedBy">Name of who confirmed it.</param>
/// <param name="Standing">How their registrations stood to the place.</param>
/// <param name="Registration">The one that covers the place, in date or not; absent when none does.</param>
/// <param name="AgainBecause">Why it has to be confirmed anew before any step, as a sentence; absent while it stands.</param>
public sealed record StartCardView(StartCard Card, DateTimeOffset At, string ConfirmedBy, RegistrationStanding Standing, RegistrationShown? Registration, string? AgainBecause);

/// <summary>A person who might be taken for another.</summary>
/// <param name="Reference">Clinic reference.</param>
/// <param name="Name">Full name.</param>
/// <param name="BirthDate">Date of birth.</param>
/// <param name="Why">What is alike, a sentence each.</param>
public sealed record LookAlikeView(string Reference, string Name, DateOnly BirthDate, IReadOnlyList<string> Why);

/// <summary>What a clinician needs to fill in a start card.</summary>
/// <param name="Today">The day at the clinic.</param>
/// <param name="Registrations">Own registrations that were not ended.</param>
/// <param name="LookAlikes">People who might be taken for the one of this session; the most alike first, twelve at most.</param>
public sealed record StartCardHelp(DateOnly Today, IReadOnlyList<RegistrationView> Registrations, IReadOnlyList<LookAlikeView> LookAlikes)
{
    /// <summary>How these registrations stand to a place, and the one shown for it. Local law decides what that means.</summary>
    /// <param name="jurisdiction">Code of the place.</param>
    public (RegistrationStanding Standing, RegistrationView? Shown) StandingAt(string jurisdiction)
    {
        var covering = Registrations.Where(registration => Jurisdictions.Covers(registration.Jurisdiction, jurisdiction)).MaxBy(registration => registration.ValidUntil);
        var standing = covering is null
            ? (Registrations.Count == 0 ? RegistrationStanding.None : RegistrationStanding.NotForThisPlace)
            : (covering.ValidUntil >= Today ? RegistrationStanding.Matches : RegistrationStanding.Expired);
        return (standing, covering);
    }
}

/// <summary>Answer to reading what a start card needs.</summary>
public sealed record StartCardReply(StartCardHelp? Help, Refusal? Refusal);
