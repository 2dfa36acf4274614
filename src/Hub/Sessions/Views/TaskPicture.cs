using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Views;

/// <summary>What an assistant sees of a session while a task of it is lent to them: what the task needs, no result, no record. Pure.</summary>
internal static class TaskPicture
{
    public static bool IsTheirs(SessionView view, string personId) => view.Control.Loan is not null && view.Control.HolderId == personId;

    /// <summary>The picture for a person: made of what they may see, so that nothing new is in it unless somebody puts it here. Once the task is theirs no more, nothing of the session is left in it but that.</summary>
    public static SessionView Of(SessionView view, string personId) => IsTheirs(view, personId)
        ? Blank(view, new PersonTested(view.Person.Reference, view.Person.Name, view.Person.BirthDate, string.Empty) { Language = view.Person.Language }) with
        {
            Place = view.Place,
            PlannedStart = view.PlannedStart,
            Control = new ControlView(view.Control.Epoch, view.Control.HolderId, view.Control.HolderName) { Loan = view.Control.Loan, LastChange = view.Control.LastChange, HeldBeforeId = view.Control.HeldBeforeId },
            Moves = [.. view.Moves.Where(move => Covers(view, move.Name))],
            Step = view.Step is { Request: MeasureRoomStep or ProveSidesStep or WearGearStep } step ? step with { Trials = [] } : null,
            Room = view.Room,
            SideProof = view.SideProof,
            Message = view.Message,
            HelpWanted = view.HelpWanted,
            Worn = view.Worn,
        }
        : Blank(view, new PersonTested(string.Empty, "The task is over", default, string.Empty)) with
        {
            Control = new ControlView(view.Control.Epoch, null, null) { LastChange = view.Control.HeldBeforeId == personId ? view.Control.LastChange : null },
        };

    private static SessionView Blank(SessionView view, PersonTested person) => new(
        view.SessionId,
        view.Version,
        view.DecisiveVersion,
        view.HubTime,
        person,
        Place: string.Empty,
        PlannedStart: default,
        view.Kit,
        view.Stage,
        ResumeStage: null,
        StageReason: null,
        new ControlView(view.Control.Epoch, null, null),
        Needs: [],
        Moves: [],
        Step: null,
        Thresholds: [],
        Superseded: [],
        Averages: [],
        Room: null,
        RoomAcceptedReason: null,
        KitCheck: null,
        SideProof: null,
        EarLooks: [],
        Identity: null,
        Consent: [],
        Review: null,
        Handoff: null,
        Message: null,
        HelpWanted: false,
        Notes: [],
        Timeline: [],
        view.Integrity)
    {
        Worn = null,
    };

    private static bool Covers(SessionView view, string move)
    {
        var lent = view.Control.Loan!;
        var loan = new ControlLoan(new Actor(lent.ById, lent.ByName), lent.Tasks, lent.Until, lent.SideProofDbHl);
        var state = SessionState.Empty(view.SessionId) with { KitCheck = view.KitCheck };
        return Asked(move, lent.SideProofDbHl ?? 0).Any(command => ControlTasks.Cover(loan, command, state));
    }

    /// <summary>What an assistant asks by a move.</summary>
    private static SessionCommand[] Asked(string move, double levelDbHl) => move switch
    {
        "hold" => [new Hold(null)],
        "cut-step" => [new CutStep(default)],
        "give-back-control" => [new GiveBackControl()],
        "measure-room" => [new OrderStep(new MeasureRoomStep(10), false)],
        "prove-sides" => [new OrderStep(new ProveSidesStep(4, 1000, levelDbHl), false)],
        "wear-gear" => [new OrderStep(new WearGearStep(ConductionRoute.Air, null), false), new OrderStep(new WearGearStep(ConductionRoute.BoneMastoid, Ear.Right), false)],
        "say-on-screen" => [new SayOnScreen(string.Empty)],
        "add-note" => [new AddNote(string.Empty)],
        _ => [],
    };
}
