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

/// <summary>A report with its place in the kit's journal.</summary>
/// <param name="Sequence">Place in the journal, from 1, without gaps.</param>
/// <param name="SessionId">Session; absent for a stop pressed while no session is known.</param>
/// <param name="KitMs">Kit clock in ms.</param>
/// <param name="Report">The fact.</param>
public sealed record JournaledReport(long Sequence, SessionId? SessionId, double KitMs, KitReport Report);

/// <summary>Sent over the link as it happens and kept nowhere: the response lamp and the sound lamp of the console.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<LiveSignalKind>))]
public enum LiveSignalKind
{
    ButtonDown,
    ButtonUp,
    SoundOn,
    SoundOff,
}

/// <summary>A live signal of a session.</summary>
public sealed record LiveSignal(SessionId SessionId, LiveSignalKind Kind);
