using TeleHearing.Contracts;

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
