using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions;

/// <summary>A command that silences met a fault of the record. What was done about it all the same, its refusal says.</summary>
internal sealed class UnrecordedSilence(Refusal refusal, Exception fault) : IOException(refusal.Sentence, fault)
{
    public Refusal Refusal { get; } = refusal;
}
