using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>How long something still counts.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<Lasting>))]
public enum Lasting
{
    /// <summary>Counts, and for more than thirty days.</summary>
    Holds,

    /// <summary>Counts, and ends within thirty days.</summary>
    EndsSoon,

    /// <summary>Its last day is past.</summary>
    Over,

    /// <summary>Taken back.</summary>
    Withdrawn,
}

/// <summary>Assistants with their tiers and sign-offs, clinicians with their registrations.</summary>
/// <param name="Today">The day at the clinic, which lasting is counted by.</param>
/// <param name="Assistants">Assistants by name.</param>
/// <param name="Clinicians">Clinicians by name.</param>
/// <param name="Verifiers">Who may verify a sign-off.</param>
/// <param name="Integrity">Whether the facts are whole.</param>
public sealed record PracticeView(
    DateOnly Today,
    IReadOnlyList<AssistantView> Assistants,
    IReadOnlyList<ClinicianView> Clinicians,
    IReadOnlyList<PracticePerson> Verifiers,
    IntegrityView Integrity)
{
    /// <summary>Days before its end from which something is said to end soon (design).</summary>
    public const int SoonDays = 30;
}

/// <summary>Somebody who works with the hub.</summary>
/// <param name="PersonId">Account.</param>
/// <param name="Name">Name as shown.</param>
public sealed record PracticePerson(string PersonId, string Name);

/// <summary>An assistant.</summary>
/// <param name="Person">Who.</param>
/// <param name="Tier">Tier; a helper until another is set.</param>
/// <param name="TierReason">What it rests on; absent while none was set.</param>
/// <param name="SignOffs">Sign-offs, newest first.</param>
/// <param name="MayDo">Tasks that may be done today.</param>
public sealed record AssistantView(PracticePerson Person, AssistantTier Tier, string? TierReason, IReadOnlyList<SignOffView> SignOffs, IReadOnlyList<AssistantTask> MayDo);

/// <summary>A sign-off.</summary>
/// <param name="SignOffId">Id.</param>
/// <param name="Task">The task.</param>
/// <param name="VerifiedBy">Name of who saw it, as it was then.</param>
/// <param name="How">How it was seen.</param>
/// <param name="On">Day it was seen.</param>
/// <param name="Until">Last day it counts.</param>
/// <param name="Note">Anything to be known.</param>
/// <param name="RecordedBy">Name of who recorded it.</param>
/// <param name="WithdrawnBecause">Why it was taken back; absent while it was not.</param>
/// <param name="Lasting">How long it still counts.</param>
public sealed record SignOffView(Guid SignOffId, AssistantTask Task, string VerifiedBy, VerifiedHow How, DateOnly On, DateOnly Until, string? Note, string RecordedBy, string? WithdrawnBecause, Lasting Lasting);

/// <summary>A clinician.</summary>
/// <param name="Person">Who.</param>
/// <param name="Registrations">Registrations, newest first.</param>
public sealed record ClinicianView(PracticePerson Person, IReadOnlyList<RegistrationView> Registrations);

/// <summary>A registration.</summary>
/// <param name="RegistrationId">Id.</param>
/// <param name="Jurisdiction">Code of the place.</param>
/// <param name="Number">Number.</param>
/// <param name="Title">Title.</param>
/// <param name="ValidUntil">Last day it counts.</param>
/// <param name="RecordedBy">Name of who recorded it.</param>
/// <param name="EndedBecause">Why it was ended; absent while it was not.</param>
/// <param name="Lasting">How long it still counts.</param>
public sealed record RegistrationView(Guid RegistrationId, string Jurisdiction, string Number, string Title, DateOnly ValidUntil, string RecordedBy, string? EndedBecause, Lasting Lasting);

/// <summary>Answer to reading the practice.</summary>
public sealed record PracticeReply(PracticeView? View, Refusal? Refusal);

/// <summary>How a clinician's registrations stand to a place.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<RegistrationStanding>))]
public enum RegistrationStanding
{
    /// <summary>One in date covers it.</summary>
    Matches,

    /// <summary>One covers it and its last day is past.</summary>
    Expired,

    /// <summary>There are registrations, and none covers it.</summary>
    NotForThisPlace,

    /// <summary>None is kept at all.</summary>
    None,
}
