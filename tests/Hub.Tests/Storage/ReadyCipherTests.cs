using System.Collections.Concurrent;
using System.Security.Cryptography;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>Ciphers that wait for the next record of their key, and nonces drawn many at once.</summary>
public sealed class ReadyCipherTests : IDisposable
{
    private readonly ReadyCiphers _ready = new();

    [Fact]
    public void TheNextRecordOfAKeyTakesTheCipherThatWaits()
    {
        var (one, other) = (Key(), Key());
        AesGcm first;
        using (var ready = _ready.Take(one))
        {
            first = ready.Cipher;
            using var beside = _ready.Take(one);
            Assert.NotSame(first, beside.Cipher);
        }

        using (var again = _ready.Take(one))
        {
            Assert.Same(first, again.Cipher);
        }

        using var another = _ready.Take(other);
        Assert.NotSame(first, another.Cipher);
    }

    [Fact]
    public void NothingWaitsForAKeyThatWasDestroyed()
    {
        var key = Key();
        var held = _ready.Take(key);
        var cipher = held.Cipher;
        using (_ready.Take(key))
        {
            // Waits from here on.
        }

        CryptographicOperations.ZeroMemory(key);
        _ready.Forget(key);

        // One that was in use meanwhile is let go of as it comes back.
        held.Dispose();
        Assert.Throws<ObjectDisposedException>(() => Seal.Text(cipher, "place", "text"));
        using var next = _ready.Take(key);
        Assert.NotSame(cipher, next.Cipher);
    }

    [Fact]
    public void ManyThreadsWithMoreKeysThanPlacesSealAndOpenEachTheirOwn()
    {
        var keys = Enumerable.Range(0, 200).Select(_ => Key()).ToList();
        var wrong = new ConcurrentBag<int>();
        Parallel.For(0, 8, thread =>
        {
            for (var number = 0; number < 2000; number++)
            {
                var index = ((number * 7) + thread) % keys.Count;
                var text = $"record {number} of {thread}";
                string closed;
                using (var ready = _ready.Take(keys[index]))
                {
                    closed = Seal.Text(ready.Cipher, "place", text);
                }

                using var same = Seal.Cipher(keys[index]);
                using var other = _ready.Take(keys[(index + 1) % keys.Count]);
                if (Seal.OpenText(same, "place", closed) != text || Seal.OpenText(other.Cipher, "place", closed) is not null)
                {
                    wrong.Add(number);
                }
            }
        });

        Assert.Empty(wrong);
    }

    [Fact]
    public void NoNonceIsGivenTwice()
    {
        var given = new ConcurrentDictionary<string, bool>(StringComparer.Ordinal);
        var twice = 0;
        Parallel.For(0, 8, _ =>
        {
            var nonce = new byte[Nonces.Bytes];
            for (var number = 0; number < 5000; number++)
            {
                Nonces.Next(nonce);
                if (!given.TryAdd(Convert.ToHexString(nonce), true))
                {
                    Interlocked.Increment(ref twice);
                }
            }
        });

        Assert.Equal((0, 40_000), (twice, given.Count));
    }

    public void Dispose() => _ready.Dispose();

    private static byte[] Key() => RandomNumberGenerator.GetBytes(32);
}
