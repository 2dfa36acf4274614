using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>The hash of a stored event, held for good: logs of clinics were chained with it since version 1.</summary>
public sealed class HashChainTests
{
    [Fact]
    public void TheHashOfASessionEventIsWhatItWasSinceVersionOne()
    {
        const string Payload = """{"text":"Besök: 5 dB vid 1 kHz.","by":{"id":"person-1","name":"Maren Toft"}}""";
        var chain = SessionEventRow.ChainOf(new Guid("0198a2c4-e1b0-7c3d-9f5a-6b7c8d9e0f10"));

        var hash = HashChain.Next(HashChain.Start, chain, 1, "note.added", 1, 638_991_072_000_000_000, Payload);

        // Outside the project: sha256sum of 32 zero bytes, then session, sequence, kind, shape and ticks each with a line feed, then the payload in UTF-8.
        // When this fails, every log written before fails its check: bring the old hash back rather than changing this value.
        Assert.Equal("27261B18FC7A93704D280727B77B6255598813B1D07D5F2439B30B85E0B6FF25", Convert.ToHexString(hash));
    }
}
