using TeleHearing.Contracts;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Rights;

/// <summary>Assistants' tiers and sign-offs, clinicians' registrations.</summary>
internal static class PracticeRows
{
    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new(
            "See assistants' tiers and sign-offs, and clinicians' registrations",
            Parties.Coordinator | Parties.Clinician | Parties.Owner,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadPractice)),
            Door.Request<ReadPractice>()) { Trail = Trail.Before },
        new(
            "Set assistants' tiers, record sign-offs and withdraw them",
            Parties.Coordinator | Parties.Owner,
            Door.Command<SetTier>(),
            Door.Command<GiveSignOff>(),
            Door.Command<WithdrawSignOff>()) { Trail = Trail.Follows },
        new(
            "Keep one's own registrations",
            Parties.Clinician | Parties.Owner,
            Door.Command<KeepRegistration>(FleetDoors.OfOneself),
            Door.Command<EndRegistration>(FleetDoors.OfOneself)) { Trail = Trail.Follows },
        new(
            "Keep the registrations of others",
            Parties.Owner,
            Door.Command<KeepRegistration>(),
            Door.Command<EndRegistration>()) { Trail = Trail.Follows },
    ];
}
