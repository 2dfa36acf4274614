using System.Text.Json.Serialization;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions.Events;

// Who commands. Whatever changes hands carries the epoch that begins with it.

internal sealed record ControlTaken(int Epoch, Actor Holder) : SessionEvent;

/// <summary>Given up; nobody commands. The epoch rises with whoever takes it next.</summary>
internal sealed record ControlReleased(Actor By) : SessionEvent;

/// <summary>A colleague asks for control.</summary>
internal sealed record ControlAsked(string Why, Actor By) : SessionEvent;

/// <summary>The holder keeps control although a colleague asked.</summary>
internal sealed record ControlDeclined(Actor To, string? Why, Actor By) : SessionEvent;

/// <summary>The holder gave control to a colleague who asked.</summary>
internal sealed record ControlGranted(int Epoch, Actor To, Actor By) : SessionEvent;

/// <summary>A colleague took control without being granted it.</summary>
internal sealed record ControlTakenOver(int Epoch, Actor From, string Reason, Actor By) : SessionEvent;

/// <summary>The holder offers control to a named clinician.</summary>
internal sealed record ControlOffered(Actor To, string Why, Actor By) : SessionEvent;

/// <summary>The offer was turned down, or taken back.</summary>
internal sealed record ControlOfferEnded(Actor To, string? Why, Actor By) : SessionEvent;

/// <summary>The named clinician accepted the offer.</summary>
internal sealed record ControlHandedOver(int Epoch, Actor From, Actor To) : SessionEvent;

/// <summary>Control is lent to an assistant for a bounded task.</summary>
internal sealed record ControlLent(int Epoch, Actor To, IReadOnlyList<AssistantTask> Tasks, DateTimeOffset Until, Actor By) : SessionEvent
{
    /// <summary>Level of a lent side proof, dB HL; absent when none is lent.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? SideProofDbHl { get; init; }
}

/// <summary>Control lent, as it was kept while lent tasks were a list of their own.</summary>
internal sealed record ControlLentBefore(int Epoch, Actor To, IReadOnlyList<TaskLentBefore> Tasks, DateTimeOffset Until, Actor By) : SessionEvent
{
    /// <summary>The same in the tasks of today. Changing the gear becomes the two things it was; a side proof has no level and is not covered any more.</summary>
    public ControlLent InTasksOfToday() => new(
        Epoch,
        To,
        [
            .. Tasks.SelectMany<TaskLentBefore, AssistantTask>(task => task switch
            {
                TaskLentBefore.RoomNoise => [AssistantTask.RoomNoise],
                TaskLentBefore.EarPicture => [AssistantTask.EarPicture],
                TaskLentBefore.SideProof => [AssistantTask.SideProof],
                TaskLentBefore.WearGear => [AssistantTask.PlaceEarphones, AssistantTask.BoneVibrator],
                _ => [AssistantTask.Coach],
            }),
        ],
        Until,
        By);
}

/// <summary>Lent tasks of older logs.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<TaskLentBefore>))]
internal enum TaskLentBefore
{
    RoomNoise,
    EarPicture,
    SideProof,
    WearGear,
    Coach,
}

/// <summary>How a loan of control ended.</summary>
internal enum ControlLoanEnd
{
    GivenBack,
    TakenBack,
    TimeOver,

    /// <summary>The assistant's console stayed silent.</summary>
    Silent,

    /// <summary>Consent to an assistant was taken back.</summary>
    Consent,
}

/// <summary>Lent control is with who lent it again.</summary>
internal sealed record ControlReturned(int Epoch, Actor From, Actor To, ControlLoanEnd End) : SessionEvent;

/// <summary>The console of the holder, or of who lent control to them, stayed silent: nobody commands.</summary>
/// <param name="Epoch">Epoch from now on, so that nothing late of the old holder counts.</param>
/// <param name="From">Who stayed silent: whoever had control, or had lent it.</param>
/// <param name="SilentSince">When their console was last heard.</param>
/// <param name="HeldAt">Stage at which the session was held because of it; absent when it was off the main line anyway.</param>
internal sealed record ControlLapsed(int Epoch, Actor From, DateTimeOffset SilentSince, SessionStage? HeldAt) : SessionEvent;

/// <summary>Whoever owns the next step has it in hand.</summary>
internal sealed record HandoffAcknowledged(HandoffOwner Owner, string? How, Actor By) : SessionEvent;
