using System.Threading.Channels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;

namespace TeleHearing.Hub.Tests.Kits;

/// <summary>What a kit is told keeps its order, whatever happens beside it.</summary>
public sealed class KitQueueTests
{
    private readonly Channel<Func<IKitClient, Task>> _sent = Channel.CreateUnbounded<Func<IKitClient, Task>>();
    private readonly KitQueue _queue;
    private Task<bool> _taken = Task.FromResult(true);

    public KitQueueTests() => _queue = new KitQueue(message =>
    {
        _sent.Writer.TryWrite(message);
        return _taken;
    });

    [Fact]
    public async Task WhatWaitsIsSentInItsOrderOnceTheQueueIsOpen()
    {
        var messages = Messages(1000);
        foreach (var message in messages[..500])
        {
            _queue.Put(message);
        }

        Assert.False(_sent.Reader.TryPeek(out _));
        _queue.Open();
        foreach (var message in messages[500..])
        {
            _queue.Put(message);
        }

        await Sent(messages);
    }

    [Fact]
    public async Task AQueueThatHadNothingToSendGoesOn()
    {
        _queue.Open();
        foreach (var message in Messages(100))
        {
            _queue.Put(message);
            await Sent([message]);
        }
    }

    [Fact]
    public async Task OneIsOnItsWayAtATime()
    {
        var taken = new TaskCompletionSource<bool>();
        _taken = taken.Task;
        var messages = Messages(3);
        _queue.Open();
        foreach (var message in messages)
        {
            _queue.Put(message);
        }

        await Sent(messages[..1]);
        Assert.False(_sent.Reader.TryPeek(out _));
        _taken = Task.FromResult(true);
        taken.SetResult(true);
        await Sent(messages[1..]);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task NothingIsSentBehindWhatCouldNotBeSentOrAnEnd(bool closed)
    {
        // On the thread pool, where what follows an answer has run when the answer is given.
        await Task.Run(
            async () =>
            {
                var taken = new TaskCompletionSource<bool>();
                _taken = taken.Task;
                var messages = Messages(3);
                _queue.Open();
                _queue.Put(messages[0]);
                _queue.Put(messages[1]);
                await Sent(messages[..1]);
                if (closed)
                {
                    _queue.Close();
                }

                taken.SetResult(closed);
                _queue.Put(messages[2]);
                Assert.False(_sent.Reader.TryPeek(out _));
            },
            TestContext.Current.CancellationToken);
    }

    private static Func<IKitClient, Task>[] Messages(int count) => [.. Enumerable.Range(0, count).Select(_ => Message())];

    private static Func<IKitClient, Task> Message()
    {
        var own = new TaskCompletionSource();
        return _ => own.Task;
    }

    private async Task Sent(Func<IKitClient, Task>[] messages)
    {
        foreach (var message in messages)
        {
            Assert.Same(message, await _sent.Reader.ReadAsync(TestContext.Current.CancellationToken));
        }
    }
}
