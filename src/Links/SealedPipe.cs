using System.IO.Pipelines;

namespace TeleHearing.Links;

/// <summary>A connection's two directions, sealed on the way out and opened on the way in.</summary>
public sealed class SealedPipe : IDuplexPipe
{
    /// <summary>Longest record, bytes, that an end of a link without a limit of its own takes: many times the largest picture of a session or fleet.</summary>
    public const long LongestFromHub = 64L * 1024 * 1024;

    private SealedPipe(PipeReader input, PipeWriter output) => (Input, Output) = (input, output);

    /// <summary>What came, opened.</summary>
    public PipeReader Input { get; }

    /// <summary>Takes what is to be sent sealed.</summary>
    public PipeWriter Output { get; }

    /// <summary>The hub's end.</summary>
    /// <param name="plain">The connection.</param>
    /// <param name="key">Its key.</param>
    /// <param name="longest">Longest record taken, bytes.</param>
    /// <param name="caught">Told of the first record that did not come as it was sent.</param>
    /// <param name="heard">Noted whenever something came that fits; absent when nobody asks.</param>
    public static SealedPipe AtHub(IDuplexPipe plain, ReadOnlySpan<byte> key, long longest, Action<LinkFaultException>? caught, LinkHeard? heard = null) =>
        Make(plain, key, LinkDirection.ToHub, LinkDirection.FromHub, longest, heard, caught);

    /// <summary>The end of a console or kit.</summary>
    public static SealedPipe AtClient(IDuplexPipe plain, ReadOnlySpan<byte> key, Action<LinkFaultException>? caught) => Make(plain, key, LinkDirection.FromHub, LinkDirection.ToHub, LongestFromHub, heard: null, caught);

    private static SealedPipe Make(IDuplexPipe plain, ReadOnlySpan<byte> key, LinkDirection comes, LinkDirection goes, long longest, LinkHeard? heard, Action<LinkFaultException>? caught)
    {
        ArgumentNullException.ThrowIfNull(plain);
        return new SealedPipe(new OpeningReader(plain.Input, new LinkSeal(key, comes), longest, heard, caught), new SealingWriter(plain.Output, new LinkSeal(key, goes)));
    }
}
