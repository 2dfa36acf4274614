using System.Threading.Channels;
using TeleHearing.Audiology;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Where the person's "left" or "right" comes in during the side proof. Taken from the moment the tone sounds, and only then.</summary>
/// <remarks>Answered from the screen or by the simulated person; asked by the step loop.</remarks>
internal sealed class SideAnswers
{
    private readonly Lock _lock = new();
    private Channel<Ear?>? _open;

    /// <summary>The tone is over and an answer is awaited.</summary>
    public event Action? Asked;

    /// <summary>Begins to take an answer.</summary>
    public void Open()
    {
        lock (_lock)
        {
            _open = Channel.CreateBounded<Ear?>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropWrite });
        }
    }

    /// <summary>The person names a side, or says that no sound was heard (null). Ignored when nothing was asked.</summary>
    public void Answer(Ear? side)
    {
        lock (_lock)
        {
            _open?.Writer.TryWrite(side);
        }
    }

    /// <summary>Waits for the answer; nothing when none came in time.</summary>
    public async Task<Ear?> TakeAsync(TimeSpan limit, TimeProvider time, CancellationToken cancellationToken)
    {
        Channel<Ear?>? open;
        lock (_lock)
        {
            open = _open;
        }

        if (open is null)
        {
            return null;
        }

        Asked?.Invoke();
        using var timeout = new CancellationTokenSource(limit, time);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(timeout.Token, cancellationToken);
        try
        {
            return await open.Reader.ReadAsync(either.Token);
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return null;
        }
        finally
        {
            lock (_lock)
            {
                _open = null;
            }
        }
    }
}
