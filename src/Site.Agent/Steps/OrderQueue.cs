using System.Threading.Channels;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Orders on their way from the link to the step loop.</summary>
internal sealed class OrderQueue
{
    private readonly Channel<StepOrder> _orders = Channel.CreateUnbounded<StepOrder>(new UnboundedChannelOptions { SingleReader = true });
    private int _waiting;

    /// <summary>Whether an order is waiting or being handled.</summary>
    public bool IsBusy => Volatile.Read(ref _waiting) > 0;

    /// <summary>Adds an order; never waits.</summary>
    public void Add(StepOrder order)
    {
        Interlocked.Increment(ref _waiting);
        _orders.Writer.TryWrite(order);
    }

    /// <summary>Takes the next order.</summary>
    public ValueTask<StepOrder> TakeAsync(CancellationToken cancellationToken) => _orders.Reader.ReadAsync(cancellationToken);

    /// <summary>An order taken is done with.</summary>
    public void Done() => Interlocked.Decrement(ref _waiting);
}
