using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>A fact a kit reports. Journaled before it is sent, resent until acknowledged.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "report")]
[JsonDerivedType(typeof(StepStarted), "step-started")]
[JsonDerivedType(typeof(TrialDone), "trial-done")]
[JsonDerivedType(typeof(ThresholdFound), "threshold-found")]
[JsonDerivedType(typeof(StepEnded), "step-ended")]
[JsonDerivedType(typeof(StopPressed), "stop-pressed")]
[JsonDerivedType(typeof(AssistantDone), "assistant-done")]
[JsonDerivedType(typeof(HelpCalled), "help-called")]
[JsonDerivedType(typeof(ConsentAnsweredHere), "consent-answered")]
[JsonDerivedType(typeof(ConsentTakenBackHere), "consent-taken-back")]
[JsonDerivedType(typeof(CaseCounted), "case-counted")]
[JsonDerivedType(typeof(CasePacked), "case-packed")]
public abstract record KitReport;

/// <summary>A step has begun.</summary>
public sealed record StepStarted(StepId StepId) : KitReport;

/// <summary>A trial is over.</summary>
public sealed record TrialDone(StepId StepId, TrialRecord Trial) : KitReport;

/// <summary>A threshold measurement is over. Carries its trials again, so that the result stands alone.</summary>
public sealed record ThresholdFound(ThresholdRecord Threshold) : KitReport;

/// <summary>A step is over, or was never begun.</summary>
/// <param name="StepId">The step.</param>
/// <param name="Ending">How it ended.</param>
/// <param name="Code">A code of <see cref="RefusalCodes"/> when it did not complete.</param>
/// <param name="Reason">Why, as a sentence for the clinician, when it did not complete.</param>
/// <param name="Result">What it measured, when it completed and measures something.</param>
public sealed record StepEnded(StepId StepId, StepEnding Ending, string? Code, string? Reason, StepResult? Result) : KitReport;

/// <summary>Someone at the site pressed stop. The kit is already silent.</summary>
public sealed record StopPressed : KitReport;

/// <summary>The assistant marked the coach card of a state as done.</summary>
public sealed record AssistantDone(SessionStage Stage) : KitReport;

/// <summary>Someone at the site asked for help.</summary>
public sealed record HelpCalled : KitReport;

/// <summary>Someone answered a question of consent on the kit's screen.</summary>
/// <param name="Purpose">Purpose asked.</param>
/// <param name="Language">Language of the text shown.</param>
/// <param name="TextVersion">Version of the text shown.</param>
/// <param name="Given">Whether they agree.</param>
public sealed record ConsentAnsweredHere(ConsentPurpose Purpose, string Language, int TextVersion, bool Given) : KitReport;

/// <summary>Someone at the site pressed "I no longer agree". The kit is already silent and does nothing more of this session.</summary>
public sealed record ConsentTakenBackHere : KitReport;

/// <summary>The case was opened and counted at the site. It is about the kit and its loan, not about a session.</summary>
/// <param name="Counts">What was there.</param>
/// <param name="Photo">Photo of the open case, by its id; absent without one.</param>
public sealed record CaseCounted(IReadOnlyList<ItemCount> Counts, string? Photo) : KitReport;

/// <summary>The case was packed at the site for its way back.</summary>
/// <param name="Counts">What went in.</param>
/// <param name="Discarded">Single-use things thrown away.</param>
/// <param name="Photo">Photo of the packed case, by its id; absent without one.</param>
/// <param name="Seal">Number of the seal; absent without one.</param>
public sealed record CasePacked(IReadOnlyList<ItemCount> Counts, IReadOnlyList<ItemCount> Discarded, string? Photo, string? Seal) : KitReport;

/// <summary>A report with its place in the kit's journal.</summary>
/// <param name="Sequence">Place in the journal, from 1, without gaps.</param>
/// <param name="SessionId">Session; absent for a stop pressed while no session is known, and for reports about the case outside a session.</param>
/// <param name="KitMs">Kit clock in ms.</param>
/// <param name="Report">The fact.</param>
public sealed record JournaledReport(long Sequence, SessionId? SessionId, double KitMs, KitReport Report);

/// <summary>Sent over the link as it happens and kept nowhere: the response lamp, the sound lamp and the room strip of the console.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<LiveSignalKind>))]
public enum LiveSignalKind
{
    ButtonDown,
    ButtonUp,
    SoundOn,
    SoundOff,

    /// <summary>What the room sounds like now; see <see cref="LiveSignal.Room"/>.</summary>
    RoomHeard,
}

/// <summary>What the measurement microphone hears now: averages over about a quarter of a second.</summary>
/// <param name="LevelsDbSpl">Third-octave levels, dB re 20 µPa, of the bands 31.5 Hz to 8 kHz in rising order.</param>
/// <param name="OwnNoiseDbSpl">The microphone's own noise in the same bands, from its record; empty when not known. A level near it says nothing about the room.</param>
/// <param name="WeightedDb">A-weighted fast level, dB re 20 µPa.</param>
/// <param name="Fault">What is wrong with the microphone, as a sentence. Then the levels are no measurement.</param>
public sealed record LiveRoom(IReadOnlyList<double> LevelsDbSpl, IReadOnlyList<double> OwnNoiseDbSpl, double WeightedDb, string? Fault);

/// <summary>A live signal of a session.</summary>
public sealed record LiveSignal(SessionId SessionId, LiveSignalKind Kind)
{
    /// <summary>The room, with <see cref="LiveSignalKind.RoomHeard"/> only.</summary>
    public LiveRoom? Room { get; init; }
}
