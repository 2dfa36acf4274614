using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>How much an assistant may do under a clinician's live instruction. What local law lets anyone delegate comes first.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<AssistantTier>))]
public enum AssistantTier
{
    /// <summary>Helper without training: nothing goes into the canal.</summary>
    Helper = 1,

    /// <summary>Trained, with a sign-off in date for each task.</summary>
    Trained = 2,

    /// <summary>Licensed, or delegated to within local rules; never outside the own scope.</summary>
    Licensed = 3,
}

/// <summary>Work at the site. Removing wax and taking impressions are not among it: nobody does them here on instruction from afar.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<AssistantTask>))]
public enum AssistantTask
{
    /// <summary>Unpack, power, camera, read serials, wipe, repack.</summary>
    HandleKit,

    /// <summary>Put earphones over the ears, hand over the response button.</summary>
    PlaceEarphones,

    /// <summary>Measure the room.</summary>
    RoomNoise,

    /// <summary>Prove the sides at a level that was set beforehand.</summary>
    SideProof,

    /// <summary>Guide the person: messages on the kit screen and notes.</summary>
    Coach,

    /// <summary>Take a picture of the ear.</summary>
    EarPicture,

    /// <summary>Put insert tips into the canal.</summary>
    InsertTips,

    /// <summary>Place the bone vibrator.</summary>
    BoneVibrator,

    /// <summary>Put an immittance tip into the canal.</summary>
    ImmittanceTip,

    /// <summary>Place a probe tube.</summary>
    ProbeTube,

    /// <summary>Fit with own hands.</summary>
    HandsOnFitting,
}

/// <summary>How it was seen that somebody can do a task. In person comes first: other ways only renew a sign-off that was given so before.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<VerifiedHow>))]
public enum VerifiedHow
{
    /// <summary>Watched in person, hands and all.</summary>
    InPerson,

    /// <summary>Watched by live picture.</summary>
    LivePicture,
}

/// <summary>Which task needs which tier (a design of this project; local rules may ask for more).</summary>
public static class AssistantTasks
{
    /// <summary>Tasks in the order in which people read them.</summary>
    public static IReadOnlyList<AssistantTask> All { get; } = Enum.GetValues<AssistantTask>();

    /// <summary>Tasks that need a sign-off in date: all above the first tier.</summary>
    public static IReadOnlyList<AssistantTask> Signed { get; } = [.. All.Where(task => TierFor(task) > AssistantTier.Helper)];

    /// <summary>Tasks for which control can be lent. Nothing else can, whatever a clinician wishes.</summary>
    public static IReadOnlyList<AssistantTask> Lendable { get; } =
    [
        AssistantTask.RoomNoise,
        AssistantTask.PlaceEarphones,
        AssistantTask.SideProof,
        AssistantTask.Coach,
        AssistantTask.EarPicture,
        AssistantTask.InsertTips,
        AssistantTask.BoneVibrator,
    ];

    /// <summary>Lowest tier that may do a task.</summary>
    public static AssistantTier TierFor(AssistantTask task) => task switch
    {
        AssistantTask.HandleKit or AssistantTask.PlaceEarphones or AssistantTask.RoomNoise or AssistantTask.SideProof or AssistantTask.Coach => AssistantTier.Helper,
        AssistantTask.ProbeTube or AssistantTask.HandsOnFitting => AssistantTier.Licensed,
        _ => AssistantTier.Trained,
    };

    /// <summary>A task in words.</summary>
    public static string Words(AssistantTask task) => task switch
    {
        AssistantTask.HandleKit => "handle the kit",
        AssistantTask.PlaceEarphones => "put earphones over the ears",
        AssistantTask.RoomNoise => "measure the room noise",
        AssistantTask.SideProof => "prove the sides",
        AssistantTask.Coach => "guide the person",
        AssistantTask.EarPicture => "take ear pictures",
        AssistantTask.InsertTips => "put in insert tips",
        AssistantTask.BoneVibrator => "place the bone vibrator",
        AssistantTask.ImmittanceTip => "put in an immittance tip",
        AssistantTask.ProbeTube => "place a probe tube",
        AssistantTask.HandsOnFitting => "fit with own hands",
        _ => task.ToString(),
    };

    /// <summary>Tasks in a sentence, after "to".</summary>
    public static string Words(IReadOnlyList<AssistantTask> tasks) => string.Join(", ", tasks.Select(Words));

    /// <summary>A tier in words.</summary>
    public static string Words(AssistantTier tier) => tier switch
    {
        AssistantTier.Helper => "1, helper",
        AssistantTier.Trained => "2, trained",
        AssistantTier.Licensed => "3, licensed or delegated",
        _ => tier.ToString(),
    };

    /// <summary>A way of verifying in words.</summary>
    public static string Words(VerifiedHow how) => how == VerifiedHow.InPerson ? "in person" : "by live picture";
}
