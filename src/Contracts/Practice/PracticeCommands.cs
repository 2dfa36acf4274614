namespace TeleHearing.Contracts;

/// <summary>An assistant's tier is set.</summary>
/// <param name="PersonId">Account of the assistant.</param>
/// <param name="Tier">The tier from now on.</param>
/// <param name="Reason">What it rests on, e.g. the training, or the licence and who delegates.</param>
public sealed record SetTier(string PersonId, AssistantTier Tier, string Reason) : FleetCommand;

/// <summary>Somebody was seen to do a task well, and may do it until a day.</summary>
/// <param name="SignOffId">Id, made by whoever asks.</param>
/// <param name="PersonId">Account of the assistant.</param>
/// <param name="Task">The task.</param>
/// <param name="VerifiedById">Account of the clinician or owner who saw it; another person than the assistant.</param>
/// <param name="How">How it was seen.</param>
/// <param name="On">Day it was seen, at the clinic.</param>
/// <param name="Until">Last day it counts, at the clinic.</param>
/// <param name="Note">Anything to be known; absent when nothing.</param>
public sealed record GiveSignOff(Guid SignOffId, string PersonId, AssistantTask Task, string VerifiedById, VerifiedHow How, DateOnly On, DateOnly Until, string? Note) : FleetCommand
{
    /// <summary>Most days a sign-off counts: two years (design).</summary>
    public const int MostDays = 731;
}

/// <summary>A sign-off counts no longer.</summary>
public sealed record WithdrawSignOff(Guid SignOffId, string Reason) : FleetCommand;

/// <summary>A clinician is registered with the body that licenses at a place. The hub keeps what it is told: it asks no register.</summary>
/// <param name="RegistrationId">Id, made by whoever asks.</param>
/// <param name="PersonId">Account of the clinician.</param>
/// <param name="Jurisdiction">Code of the place, see <see cref="Jurisdictions"/>.</param>
/// <param name="Number">Number as the register writes it; at least one digit.</param>
/// <param name="Title">Title as the register writes it.</param>
/// <param name="ValidUntil">Last day it counts, at the clinic.</param>
public sealed record KeepRegistration(Guid RegistrationId, string PersonId, string Jurisdiction, string Number, string Title, DateOnly ValidUntil) : FleetCommand;

/// <summary>A registration counts no longer, or was entered wrongly.</summary>
/// <param name="RegistrationId">The registration.</param>
/// <param name="PersonId">Account of the clinician it belongs to.</param>
/// <param name="Reason">Why.</param>
public sealed record EndRegistration(Guid RegistrationId, string PersonId, string Reason) : FleetCommand;
