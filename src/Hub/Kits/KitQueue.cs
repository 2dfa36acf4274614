using TeleHearing.Contracts;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.Kits;

/// <summary>What one kit is told, one message after another in the order they were put in, from when the queue is opened. While there is nothing to tell, nothing runs and nothing waits: most links are idle most of the time. Any thread.</summary>
/// <param name="send">Sends one; false ends the queue.</param>
internal sealed class KitQueue(Func<Func<IKitClient, Task>, Task<bool>> send)
{
    private readonly Lock _lock = new();
    private readonly Queue<Func<IKitClient, Task>> _waiting = new();
    private bool _open;
    private bool _over;
    private bool _sending;

    /// <summary>Puts a message in; never waits. Into a queue that is over nothing is put.</summary>
    public void Put(Func<IKitClient, Task> message)
    {
        lock (_lock)
        {
            if (!_over)
            {
                _waiting.Enqueue(message);
                SendInsideLock();
            }
        }
    }

    /// <summary>Begins to send.</summary>
    public void Open()
    {
        lock (_lock)
        {
            _open = true;
            SendInsideLock();
        }
    }

    /// <summary>Ends it. What still waits is not sent.</summary>
    public void Close()
    {
        lock (_lock)
        {
            _over = true;
            _waiting.Clear();
        }
    }

    private void SendInsideLock()
    {
        if (_open && !_sending && _waiting.Count > 0)
        {
            _sending = true;
            _ = Aside.Run(Send);
        }
    }

    private async Task Send()
    {
        while (Next() is { } message)
        {
            if (!await send(message))
            {
                Close();
            }
        }
    }

    private Func<IKitClient, Task>? Next()
    {
        lock (_lock)
        {
            if (_waiting.TryDequeue(out var message))
            {
                return message;
            }

            _sending = false;
            return null;
        }
    }
}
