namespace TeleHearing.Clinician.Web.Lock;

/// <summary>Asks the person for a fresh proof that it is them when the hub wants one, so that what was asked can be asked again. Nothing typed is lost meanwhile.</summary>
public sealed class ConfirmDesk
{
    private TaskCompletionSource<bool>? _asking;

    /// <summary>A dialog is wanted, or no longer.</summary>
    public event Action? Changed;

    /// <summary>Whether a proof is being asked for.</summary>
    public bool Asking => _asking is not null;

    /// <summary>Asks, and waits until the person has proved it or left it. Several at once are answered by one proof.</summary>
    /// <returns>Whether the hub took the proof.</returns>
    public Task<bool> Prove()
    {
        _asking ??= new TaskCompletionSource<bool>();
        var answer = _asking.Task;
        Changed?.Invoke();
        return answer;
    }

    /// <summary>The dialog was left, or the hub took the proof.</summary>
    public void Finish(bool proven)
    {
        var asking = _asking;
        _asking = null;
        Changed?.Invoke();
        asking?.TrySetResult(proven);
    }
}
