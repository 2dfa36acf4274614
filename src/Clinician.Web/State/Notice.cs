using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Something the person must be able to read at leisure: a refusal or a fault. Stays until it is put away, the same was done after all, or the stage it belongs to is over.</summary>
/// <param name="Number">Identity.</param>
/// <param name="What">What was asked, in words.</param>
/// <param name="Sentence">What happened.</param>
/// <param name="Remedy">What to do next.</param>
/// <param name="Times">How often the same came in a row.</param>
/// <param name="Hint">Said by this page alone, nothing was sent; goes away with the next thing done.</param>
/// <param name="Stage">Stage shown when it came.</param>
/// <param name="Again">Asks the very same again, after a broken link; absent when a new press is the way.</param>
public sealed record Notice(long Number, string What, string Sentence, string? Remedy, int Times, bool Hint, SessionStage? Stage, Func<Task>? Again);
