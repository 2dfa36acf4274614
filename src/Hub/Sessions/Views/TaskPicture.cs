using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Decisions;

namespace TeleHearing.Hub.Sessions.Views;

/// <summary>What an assistant sees of a session while a task of it is lent to them: what the task needs, no result, no record. Pure.</summary>
internal static class TaskPicture
{
    public static bool IsTheirs(SessionView view, string personId) => view.Control.Loan is not null && view.Control.HolderId == personId;

    /// <summary>The picture for a person. Once the task is theirs no more, nothing of the session is left in it but that.</summary>
    public static SessionView Of(SessionView view, string personId)
    {
        var bare = view with
        {
            StageReason = null,
            Needs = [],
            Thresholds = [],
            Superseded = [],
            Averages = [],
            RoomAcceptedReason = null,
            KitCheck = null,
            EarLooks = [],
            Identity = null,
            Consent = [],
            AskedOnScreen = [],
            Review = null,
            Handoff = null,
            Notes = [],
            Timeline = [],
            RecentTrials = null,
            SidesAcceptedReason = null,
            Plan = null,
            Reliability = [],
            MaskedByHand = [],
            Dose = null,
            Control = view.Control with { Requests = [], Offer = null, OpenHandoff = null },
        };
        return IsTheirs(view, personId)
            ? bare with
            {
                Person = view.Person with { Referral = string.Empty },
                Step = view.Step is { Request: MeasureRoomStep or ProveSidesStep or WearGearStep } step ? step with { Trials = [] } : null,
                Moves = [.. view.Moves.Where(move => Covers(view.Control.Loan!.Tasks, move.Name))],
            }
            : bare with
            {
                Person = new PersonTested(string.Empty, "The task is over", default, string.Empty),
                Place = string.Empty,
                Step = null,
                Room = null,
                SideProof = null,
                Message = null,
                HelpWanted = false,
                Worn = null,
                Moves = [],
                Control = new ControlView(view.Control.Epoch, null, null) { LastChange = view.Control.HeldBeforeId == personId ? view.Control.LastChange : null },
            };
    }

    private static bool Covers(IReadOnlyList<LentTask> tasks, string move) => move switch
    {
        "hold" => ControlTasks.Cover(tasks, new Hold(null)),
        "cut-step" => ControlTasks.Cover(tasks, new CutStep(default)),
        "give-back-control" => ControlTasks.Cover(tasks, new GiveBackControl()),
        "measure-room" => ControlTasks.Cover(tasks, new OrderStep(new MeasureRoomStep(10), false)),
        "prove-sides" => ControlTasks.Cover(tasks, new OrderStep(new ProveSidesStep(4, 1000, 50), false)),
        "wear-gear" => ControlTasks.Cover(tasks, new OrderStep(new WearGearStep(Audiology.PureTone.ConductionRoute.Air, null), false)),
        "say-on-screen" => ControlTasks.Cover(tasks, new SayOnScreen(string.Empty)),
        "add-note" => ControlTasks.Cover(tasks, new AddNote(string.Empty)),
        _ => false,
    };
}
