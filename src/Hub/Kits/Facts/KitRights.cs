using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Who may record what about a kit.</summary>
internal static class KitRights
{
    /// <summary>Why a caller may not ask this; absent when they may.</summary>
    /// <remarks>Looking at a session again is a judgement about results, and taking thresholds out of one shows them: both stay with those who may see sessions. Taking a kit into service or out of it, lifting what somebody holds it for, and which kit goes to which loan for how long stay with those who answer for the kits. All else is care of the kit, which a clinician on the road does too.</remarks>
    public static Refusal? MayAsk(Caller caller, KitCommand? command) => command switch
    {
        ReviewSession or RecordBaseline { From: not null } or RecordKnownEar { From: not null } => Rights.AnyOf(caller, Roles.Clinician, Roles.Owner),
        CommissionKit or RetireKit or LiftHold or ReserveKit or CallOffLoan or ExtendLoan => Rights.AnyOf(caller, Roles.Coordinator, Roles.Owner),
        _ => Rights.AnyOf(caller, Roles.Coordinator, Roles.Clinician, Roles.Owner),
    };

    /// <summary>Whether a caller answers for the kits.</summary>
    public static bool CaresForKits(Caller caller) => Rights.AnyOf(caller, Roles.Coordinator, Roles.Owner) is null;

    /// <summary>Whether an entry is a word of those who answer for the kits: only they say that it did not occur, else a correction would do what <see cref="MayAsk"/> refuses.</summary>
    /// <remarks>Releasing a kit is care of it, but taking that back calls one back that the coordinator counts on.</remarks>
    public static bool IsTheirs(KitFact fact) => fact is KitCommissioned or KitReleased or KitRetired or HoldLifted or KitReserved or LoanCalledOff or LoanExtended;

    /// <summary>A kit's picture without the notes of reviewed sessions, which tell of results, and without the persons of its sessions: for those who may not see sessions.</summary>
    public static KitView WithoutSessions(KitView view) => view with
    {
        KnownEar = view.KnownEar with { Sessions = [] },
        LookBacks = [.. view.LookBacks.Select(list => list with { Sessions = [.. list.Sessions.Select(row => row with { Note = null })] })],
    };
}
