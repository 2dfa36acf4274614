using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Practice;

/// <summary>A fact of who may do what at work. Such facts stand in the clinic's log beside those of the fleet: one chain, one verification.</summary>
internal interface IPracticeFact;

/// <summary>An assistant's tier was set.</summary>
internal sealed record TierWasSet(string PersonId, AssistantTier Tier, string Reason, Actor By) : FleetFact, IPracticeFact;

/// <summary>A task was signed off.</summary>
internal sealed record SignOffGiven(Guid SignOffId, string PersonId, AssistantTask Task, Actor VerifiedBy, VerifiedHow How, DateOnly On, DateOnly Until, string? Note, Actor By) : FleetFact, IPracticeFact;

/// <summary>A sign-off was taken back.</summary>
internal sealed record SignOffWithdrawn(Guid SignOffId, string Reason, Actor By) : FleetFact, IPracticeFact;

/// <summary>A registration was entered.</summary>
internal sealed record RegistrationKept(Guid RegistrationId, string PersonId, string Jurisdiction, string Number, string Title, DateOnly ValidUntil, Actor By) : FleetFact, IPracticeFact;

/// <summary>A registration was ended.</summary>
internal sealed record RegistrationEnded(Guid RegistrationId, string Reason, Actor By) : FleetFact, IPracticeFact;
