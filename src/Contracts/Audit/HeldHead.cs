namespace TeleHearing.Contracts;

/// <summary>The end of a chain of the hub at a moment, held by somebody else: with it a removal of newer entries shows.</summary>
/// <param name="Chain">Name of the chain, as hashed.</param>
/// <param name="Sequence">Number of its last entry then.</param>
/// <param name="Hash">Hash of that entry, hexadecimal.</param>
public sealed record HeldHead(string Chain, long Sequence, string Hash)
{
    /// <summary>Most heads a kit keeps and shows back.</summary>
    public const int MostHeld = 16;
}
