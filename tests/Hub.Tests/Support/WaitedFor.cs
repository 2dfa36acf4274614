using System.Threading.Channels;
using Microsoft.Extensions.Time.Testing;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A clock that tells when somebody begins to wait by it.</summary>
internal sealed class WaitedFor : FakeTimeProvider
{
    public Channel<bool> Waits { get; } = Channel.CreateUnbounded<bool>();

    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
    {
        var timer = base.CreateTimer(callback, state, dueTime, period);
        Waits.Writer.TryWrite(true);
        return timer;
    }
}
