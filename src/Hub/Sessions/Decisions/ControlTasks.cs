using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>What a loan of control covers. A closed list: whatever is not here stays with the clinician, also when they wish to lend it.</summary>
internal static class ControlTasks
{
    /// <summary>Whether a command lies within a loan. Silence and giving back always do.</summary>
    public static bool Cover(ControlLoan loan, SessionCommand command, SessionState state) => command switch
    {
        _ when IsSilence(command) => true,
        SayOnScreen or AddNote => loan.Tasks.Contains(AssistantTask.Coach) || loan.Tasks.Contains(AssistantTask.EarPicture),
        OrderStep { Request: ProveSidesStep sides, LoudConfirmed: false } => loan.Tasks.Contains(AssistantTask.SideProof) && sides.LevelDbHl <= loan.SideProofDbHl,
        OrderStep order => Of(order.Request, state) is { } task && task != AssistantTask.SideProof && loan.Tasks.Contains(task),
        _ => false,
    };

    /// <summary>What makes no sound and commands nothing: an assistant's whatever else is over or missing. Not all of <see cref="Silencing"/>: to take a task back, to answer for the person and to end the session are a clinician's; and giving back is here, which silences nothing.</summary>
    public static bool IsSilence(SessionCommand command) => command is Hold or CutStep or GiveBackControl;

    /// <summary>Everything an assistant does for an order, each of which must be signed off on the day.</summary>
    public static IReadOnlyList<AssistantTask> Needed(StepRequest request, SessionState state) => Of(request, state) is { } task ? Needed(task, state) : [];

    /// <summary>Everything an assistant does for a task. Whoever proves the sides has the earphones on the person; by bone the other ear gets one, ready for a masker.</summary>
    public static IReadOnlyList<AssistantTask> Needed(AssistantTask task, SessionState state) =>
        task is AssistantTask.SideProof or AssistantTask.BoneVibrator ? [task, Earphones(state)] : [task];

    /// <summary>The task an order belongs to; absent when no assistant may ask for it.</summary>
    private static AssistantTask? Of(StepRequest request, SessionState state) => request switch
    {
        MeasureRoomStep => AssistantTask.RoomNoise,
        ProveSidesStep => AssistantTask.SideProof,
        WearGearStep { Route: ConductionRoute.Air } => Earphones(state),
        WearGearStep => AssistantTask.BoneVibrator,
        _ => null,
    };

    /// <summary>How this kit's earphones are put on. While nobody has said what they are, they may go into the canal.</summary>
    private static AssistantTask Earphones(SessionState state) => state.KitCheck?.Gear?.TransducerKind switch
    {
        TransducerKind.SupraAural or TransducerKind.Circumaural => AssistantTask.PlaceEarphones,
        _ => AssistantTask.InsertTips,
    };
}
