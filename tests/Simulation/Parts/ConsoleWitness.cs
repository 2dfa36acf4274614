using TeleHearing.Contracts;

namespace TeleHearing.Simulation.Parts;

/// <summary>Sees what consoles ask and what they are told.</summary>
internal sealed class ConsoleWitness(Trace trace, Action<string, string> object_)
{
    private readonly Dictionary<CommandId, (CommandEnvelope Envelope, SignedInPerson By)> _asked = [];
    private readonly Dictionary<CommandId, Receipt> _accepted = [];

    public IReadOnlyDictionary<CommandId, (CommandEnvelope Envelope, SignedInPerson By)> All => _asked;

    /// <summary>Receipts of what was carried out, as consoles were told.</summary>
    public IReadOnlyDictionary<CommandId, Receipt> Accepted => _accepted;

    /// <summary>Told when a console hears that the cut of a step is carried out.</summary>
    public Action<StepId> CutTold { get; init; } = _ => { };

    public void Asked(CommandEnvelope envelope, SignedInPerson by)
    {
        _asked.Add(envelope.CommandId, (envelope, by));
        trace.Add($"{by.Name} asks {Name(envelope)}: {envelope.Command.GetType().Name}, epoch {envelope.ControlEpoch}, version {envelope.ExpectedVersion}");
    }

    public void Answered(CommandEnvelope envelope, Receipt receipt)
    {
        trace.Add($"{Name(envelope)} is {(receipt.Refusal is { } refusal ? $"refused, {refusal.Code}" : $"carried out, version {receipt.SessionVersion}")}");
        if (receipt.Refusal is null && envelope.Command is CutStep cut)
        {
            CutTold(cut.StepId);
        }

        if (receipt.Refusal is null && !_accepted.TryAdd(envelope.CommandId, receipt) && _accepted[envelope.CommandId] != receipt)
        {
            object_("no command acted twice", $"{Name(envelope)} was answered by two receipts that differ");
        }
        else if (receipt.Refusal is { Code: not (RefusalCodes.ConfirmationNeeded or RefusalCodes.StorageFault or RefusalCodes.Locked or RefusalCodes.NotSignedIn) } late && _accepted.ContainsKey(envelope.CommandId))
        {
            object_("no command acted twice", $"{Name(envelope)} was carried out, and refused when it came again: {late.Code}");
        }
    }

    private string Name(CommandEnvelope envelope) => trace.Name("command", envelope.CommandId.Value);
}
