using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What a kit may ask of the hub.</summary>
public interface IKitHub
{
    /// <summary>First call of every connection: gives the link its name, which the hello is signed over.</summary>
    /// <param name="nonce">The kit's half: 32 fresh random bytes, base64url.</param>
    Task<KitChallenge> Challenge(string nonce);

    /// <summary>Second call of every connection; nothing else is served before it.</summary>
    Task<KitWelcome> Hello(KitHello hello);

    /// <summary>Hand over journaled facts, in order. Returns the last sequence held durably; facts already held are skipped.</summary>
    Task<ReportAck> Report(SignedReports batch);

    /// <summary>Attest that nothing of sessions that are over is left on the kit.</summary>
    Task<WipeReply> Wiped(SignedWipe wipe);

    /// <summary>Pass on a live signal.</summary>
    Task Signal(LiveSignal signal);
}

/// <summary>How far the hub holds a kit's journal.</summary>
/// <param name="AcknowledgedSequence">Last sequence held durably.</param>
/// <param name="Refusal">Set when a report was refused and will be refused again; the kit logs it, moves on past it, and never resends it.</param>
public sealed record ReportAck(long AcknowledgedSequence, Refusal? Refusal)
{
    /// <summary>Newest heads of the hub's chains, for the kit to hold; told when a step has ended.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<HeldHead>? Heads { get; init; }
}

/// <summary>What a kit is told. Its handlers only enqueue; cut, silence and lease bypass the queue.</summary>
public interface IKitClient
{
    /// <summary>Carry out a step.</summary>
    Task Carry(SignedOrder order);

    /// <summary>End this step now, silence first.</summary>
    Task Cut(StepId stepId);

    /// <summary>Sound may go on a little longer.</summary>
    Task RenewLease(LeaseGrant lease);

    /// <summary>What the screen shows now.</summary>
    Task ShowScene(KitScene scene);

    /// <summary>Wipe what is held of these sessions, which are over, once the hub has confirmed all of it, and attest it.</summary>
    Task Wipe(WipeOrder order);

    /// <summary>The kit's credential is revoked: silence, forget the journal key, disconnect.</summary>
    Task Revoked(string reason);
}
