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
        var key = Key();
        AesGcm first;
        using (var ready = _ready.Take(key)!)
        {
            first = ready.Cipher;
            using var beside = _ready.Take(key)!;
            Assert.NotSame(first, beside.Cipher);
        }

        using var again = _ready.Take(key)!;
        Assert.Same(first, again.Cipher);
    }

    [Fact]
    public void NothingWaitsForAKeyThatWasDestroyedAndNothingIsSetUpForIt()
    {
        var key = Key();
        var held = _ready.Take(key)!;
        AesGcm waiting;
        using (var beside = _ready.Take(key)!)
        {
            waiting = beside.Cipher;
        }

        _ready.Destroy(key);

        Assert.Equal(new byte[32], key);
        Assert.Throws<ObjectDisposedException>(() => Seal.Text(waiting, "place", "text"));
        Assert.Null(_ready.Take(key));

        // One that was in use meanwhile finishes its record, and is let go of as it comes back.
        Assert.NotEmpty(Seal.Text(held.Cipher, "place", "text"));
        held.Dispose();
        Assert.Throws<ObjectDisposedException>(() => Seal.Text(held.Cipher, "place", "text"));
    }

    [Fact]
    public void WhateverThreadsDoWhileAKeyIsDestroyedNothingIsLeftOfIt()
    {
        for (var round = 0; round < 200; round++)
        {
            var key = Key();
            var taken = new ConcurrentBag<AesGcm>();
            Threads(4, thread =>
            {
                if (thread == 0)
                {
                    _ready.Destroy(key);
                    return;
                }

                for (var number = 0; number < 20; number++)
                {
                    using var ready = _ready.Take(key);
                    if (ready is not null)
                    {
                        taken.Add(ready.Cipher);
                    }
                }
            });

            Assert.Null(_ready.Take(key));
            Assert.All(taken, cipher => Assert.Throws<ObjectDisposedException>(() => Seal.Text(cipher, "place", "text")));
        }
    }

    [Fact]
    public void ManyThreadsWithMoreKeysThanPlacesSealAndOpenEachTheirOwn()
    {
        var keys = Enumerable.Range(0, 200).Select(_ => Key()).ToList();
        var wrong = new ConcurrentBag<int>();
        Threads(8, thread =>
        {
            for (var number = 0; number < 2000; number++)
            {
                var index = ((number * 7) + thread) % keys.Count;
                var text = $"record {number} of {thread}";
                string closed;
                using (var ready = _ready.Take(keys[index])!)
                {
                    closed = Seal.Text(ready.Cipher, "place", text);
                }

                using var same = Seal.Cipher(keys[index]);
                using var other = _ready.Take(keys[(index + 1) % keys.Count])!;
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
        Threads(8, _ =>
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

    /// <summary>Threads that begin together.</summary>
    private static void Threads(int count, Action<int> work)
    {
        using var together = new Barrier(count);
        var threads = Enumerable.Range(0, count).Select(number => new Thread(() =>
        {
            together.SignalAndWait();
            work(number);
        })).ToList();
        threads.ForEach(thread => thread.Start());
        threads.ForEach(thread => thread.Join());
    }

    private static byte[] Key() => RandomNumberGenerator.GetBytes(32);
}
