using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Contracts;

/// <summary>A protocol a session can be run by.</summary>
/// <param name="Protocol">The protocol.</param>
/// <param name="Text">The same as a file, as people read and change it.</param>
/// <param name="Shipped">It came with the tool and is never changed.</param>
/// <param name="KeptAt">When this version was kept; absent for a shipped one.</param>
/// <param name="KeptBy">By whom; absent for a shipped one.</param>
public sealed record ProtocolEntry(TestProtocol Protocol, string Text, bool Shipped, DateTimeOffset? KeptAt, string? KeptBy);

/// <summary>The clinic's protocols.</summary>
/// <param name="Entries">Newest version of each, shipped ones first.</param>
/// <param name="Refusal">Why there are none to see.</param>
public sealed record ProtocolsReply(IReadOnlyList<ProtocolEntry> Entries, Refusal? Refusal);

/// <summary>What came of a protocol that was handed in.</summary>
/// <param name="Kept">The protocol as kept; absent when it was only looked at, or not kept.</param>
/// <param name="Faults">Everything wrong with it, by line.</param>
/// <param name="Refusal">Why it was not kept, when its text is not to blame.</param>
public sealed record ProtocolReply(TestProtocol? Kept, IReadOnlyList<ProtocolFileFault> Faults, Refusal? Refusal);
