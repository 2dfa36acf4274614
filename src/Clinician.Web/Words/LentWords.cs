using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Lent tasks in words.</summary>
public static class LentWords
{
    /// <summary>A task, as a choice.</summary>
    public static string Task(LentTask task) => task switch
    {
        LentTask.RoomNoise => "room noise",
        LentTask.EarPicture => "pictures of the ears",
        LentTask.SideProof => "side proof",
        LentTask.WearGear => "changing the gear",
        LentTask.Coach => "guiding the person",
        _ => task.ToString(),
    };

    /// <summary>Tasks in a sentence.</summary>
    public static string All(IReadOnlyList<LentTask> tasks) => string.Join(", ", tasks.Select(Task));

    /// <summary>How much time is left.</summary>
    public static string Left(TimeSpan left) => left.TotalMinutes switch
    {
        <= 0 => "the time is over",
        < 1 => "less than a minute left",
        < 2 => "1 minute left",
        var minutes => string.Create(CultureInfo.InvariantCulture, $"{Math.Floor(minutes):0} minutes left"),
    };
}
