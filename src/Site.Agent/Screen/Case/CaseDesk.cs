using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Screen.Case;

/// <summary>What this kit knows of its case and what was done about it here.</summary>
/// <param name="Case">As the hub told it; absent while it did not.</param>
/// <param name="Counted">The count that was handed over here and that the hub has not told back yet.</param>
/// <param name="Charged">Somebody said that the kit is on its charger.</param>
/// <param name="Packed">Somebody said that the case is packed, in the session that is shown or after it. Another session opens it again.</param>
internal sealed record CasePicture(KitCase? Case, IReadOnlyList<ItemCount>? Counted, bool Charged, bool Packed);

/// <summary>The case as the kit screen has it in hand: read from the hub, counted and packed here. Lives in memory only. Thread-safe; <see cref="Changed"/> is raised outside the lock.</summary>
internal sealed class CaseDesk(FactWriter facts, KitScreenState screen)
{
    private readonly Lock _lock = new();
    private CasePicture _picture = new(null, null, false, false);
    private DateTimeOffset? _loanPackedAt;
    private SessionId? _packedIn;

    /// <summary>Something changed.</summary>
    public event Action? Changed;

    /// <summary>Everything as of now.</summary>
    public CasePicture Now
    {
        get
        {
            lock (_lock)
            {
                return _picture with { Packed = _picture.Packed && (screen.Now.Scene?.SessionId is not { } shown || shown == _packedIn) };
            }
        }
    }

    /// <summary>The hub's word. Another loan begins with everything still to be done.</summary>
    public void Take(KitCase told) => Change(picture =>
    {
        var other = told.Packed?.At != _loanPackedAt;
        _loanPackedAt = told.Packed?.At;
        return other ? new CasePicture(told, null, false, false) : picture with { Case = told };
    });

    /// <summary>The case was counted.</summary>
    public void Count(IReadOnlyList<ItemCount> counts, string? photo)
    {
        facts.WriteOrOwe(screen.Now.Scene?.SessionId, new CaseCounted(counts, photo));
        Change(picture => picture with { Counted = counts });
    }

    /// <summary>The kit is on its charger.</summary>
    public void MarkCharging() => Change(picture => picture with { Charged = true });

    /// <summary>The case is packed for its way back.</summary>
    public void Pack(IReadOnlyList<ItemCount> counts, IReadOnlyList<ItemCount> discarded, string? photo, string? seal)
    {
        var session = screen.Now.Scene?.SessionId;
        facts.WriteOrOwe(session, new CasePacked(counts, discarded, photo, seal));
        Change(picture =>
        {
            _packedIn = session;
            return picture with { Packed = true };
        });
    }

    private void Change(Func<CasePicture, CasePicture> change)
    {
        lock (_lock)
        {
            _picture = change(_picture);
        }

        Changed?.Invoke();
    }
}
