using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>What a loan of control covers. A closed list: whatever is not here stays with the clinician, also when they wish to lend it.</summary>
internal static class ControlTasks
{
    /// <summary>Whether a command lies within the tasks lent. Silence always does.</summary>
    public static bool Cover(IReadOnlyList<LentTask> tasks, SessionCommand command) => command switch
    {
        Hold or CutStep or GiveBackControl => true,
        OrderStep { Request: MeasureRoomStep } => tasks.Contains(LentTask.RoomNoise),
        OrderStep { Request: ProveSidesStep, LoudConfirmed: false } => tasks.Contains(LentTask.SideProof),
        OrderStep { Request: WearGearStep } => tasks.Contains(LentTask.WearGear),
        SayOnScreen or AddNote => tasks.Contains(LentTask.Coach) || tasks.Contains(LentTask.EarPicture),
        _ => false,
    };

    /// <summary>What an assistant must be signed off for before a task is lent to them.</summary>
    public static IReadOnlyList<AssistantTask> SignOffsFor(LentTask task, SessionState state) => task switch
    {
        LentTask.EarPicture => [AssistantTask.EarPicture],
        LentTask.SideProof when state.KitCheck?.Gear?.TransducerKind == TransducerKind.Insert => [AssistantTask.InsertTips],
        LentTask.SideProof => [AssistantTask.PlaceEarphones],
        LentTask.WearGear => [AssistantTask.PlaceEarphones, AssistantTask.BoneVibrator],
        _ => [AssistantTask.HandleKit],
    };

    /// <summary>Tasks in a sentence.</summary>
    public static string InWords(IReadOnlyList<LentTask> tasks) => string.Join(", ", tasks.Select(InWords));

    private static string InWords(LentTask task) => task switch
    {
        LentTask.RoomNoise => "room noise",
        LentTask.EarPicture => "pictures of the ears",
        LentTask.SideProof => "side proof",
        LentTask.WearGear => "changing the gear",
        LentTask.Coach => "guiding the person",
        _ => task.ToString(),
    };
}
