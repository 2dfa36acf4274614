using System.Collections.Concurrent;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.SignedIn;

/// <summary>A browser that somebody signed in with, as the hub knows it. Its cookie holds the id alone.</summary>
/// <param name="Id">Id of the sign-in.</param>
/// <param name="PersonId">Account.</param>
/// <param name="BeganAt">When it began.</param>
/// <param name="ConfirmedAt">When the person last proved that it is them; signing in is such a proof, unless an organisation let somebody through unasked.</param>
/// <param name="Locked">Whether the console covers itself.</param>
internal sealed record SignIn(string Id, string PersonId, DateTimeOffset BeganAt, DateTimeOffset? ConfirmedAt, bool Locked)
{
    /// <summary>When somebody last did something at it. Kept in memory, and in the store where other hubs ask: after a restart it counts from then.</summary>
    public DateTimeOffset ActiveAt { get; init; }

    /// <summary>When it was read from the store or written there, as a timestamp; zero when another hub has changed it since.</summary>
    public long ReadAt { get; init; }
}

/// <summary>All sign-ins that have not ended. What they may is kept here and not in their cookies, so that it ends when the hub says so.</summary>
internal sealed class SignIns(IDbContextFactory<HubContext> contexts, LivePeople live, HubSettings settings, HubWire wire, TimeProvider time)
{
    /// <summary>How long a proof counts for what asks for confirmation.</summary>
    public static readonly TimeSpan ProofCounts = TimeSpan.FromMinutes(5);

    /// <summary>How long somebody may stay signed in without signing in anew, however much they do (OWASP ASVS 5.0, 7.3.2 asks for a limit and leaves its length to the owner).</summary>
    public static readonly TimeSpan Longest = TimeSpan.FromDays(7);

    // Consoles say that somebody is there every fifteen seconds at most.
    private static readonly TimeSpan _reported = TimeSpan.FromSeconds(20);

    /// <summary>How old what is known may be where other hubs may have changed it without a word.</summary>
    private static readonly TimeSpan _fresh = TimeSpan.FromSeconds(1);

    /// <summary>How often it is written down for other hubs that somebody is there.</summary>
    private static readonly TimeSpan _written = TimeSpan.FromSeconds(10);

    private readonly ConcurrentDictionary<string, SignIn> _known = new(StringComparer.Ordinal);
    private readonly ConcurrentDictionary<string, long> _activityWritten = new(StringComparer.Ordinal);

    /// <summary>Begins one.</summary>
    /// <param name="personId">Whose.</param>
    /// <param name="proven">Whether they proved just now that it is them. Otherwise it begins covered: nothing is shown or done before a proof.</param>
    /// <returns>Its id.</returns>
    public async Task<string> Begin(string personId, bool proven)
    {
        var now = time.GetUtcNow();
        var begun = new SignIn(Guid.CreateVersion7().ToString("N"), personId, now, proven ? now : null, Locked: !proven) { ActiveAt = now, ReadAt = time.GetTimestamp() };
        var old = (now - Longest).UtcTicks;
        await using var context = await contexts.CreateDbContextAsync();
        await context.SignIns.Where(row => row.BeganTicks < old).ExecuteDeleteAsync();
        context.SignIns.Add(new SignInRow { SignInId = begun.Id, PersonId = personId, BeganTicks = now.UtcTicks, ConfirmedTicks = begun.ConfirmedAt?.UtcTicks, Locked = begun.Locked });
        await context.SaveChangesAsync();
        _known[begun.Id] = begun;
        return begun.Id;
    }

    /// <summary>A sign-in that has not ended; null when it has, or never was.</summary>
    public async ValueTask<SignIn?> Find(string id, CancellationToken cancellationToken)
    {
        if (Known(id) is { } known && (!settings.IsShared || (known.ReadAt != 0 && time.GetElapsedTime(known.ReadAt) < _fresh)))
        {
            return known;
        }

        return await Read(id, cancellationToken);
    }

    /// <summary>Reads a sign-in anew: another hub may have confirmed, covered or ended it.</summary>
    public async Task<SignIn?> Read(string id, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        if (await context.SignIns.AsNoTracking().SingleOrDefaultAsync(row => row.SignInId == id, cancellationToken) is not { } found)
        {
            if (_known.TryRemove(id, out _))
            {
                live.EndSignIn(id);
            }

            return null;
        }

        var active = found.ActiveTicks is { } at ? Time(at) : time.GetUtcNow();
        _known.AddOrUpdate(
            id,
            _ => new SignIn(id, found.PersonId, Time(found.BeganTicks), found.ConfirmedTicks is { } ticks ? Time(ticks) : null, found.Locked) { ActiveAt = active, ReadAt = time.GetTimestamp() },
            (_, held) => held with
            {
                ConfirmedAt = found.ConfirmedTicks is { } ticks ? Time(ticks) : null,
                Locked = found.Locked,
                ActiveAt = found.ActiveTicks is not null && active > held.ActiveAt ? active : held.ActiveAt,
                ReadAt = time.GetTimestamp(),
            });
        return Known(id);
    }

    /// <summary>Reads the sign-ins of all consoles that are connected here anew, where another hub may have changed them.</summary>
    public async Task ReadLive(CancellationToken cancellationToken)
    {
        foreach (var id in settings.IsShared ? live.All.Select(console => console.SignInId).Distinct().ToList() : [])
        {
            await Read(id, cancellationToken);
        }
    }

    /// <summary>Another hub has changed it: it is read anew before anything rests on it.</summary>
    public void Doubt(string id)
    {
        if (_known.TryGetValue(id, out var known))
        {
            _known.TryUpdate(id, known with { ReadAt = 0 }, known);
        }
    }

    /// <summary>A sign-in of whoever is connected or just asked; null when it has ended. One that was left alone for longer than it may counts as covered from that moment on, whoever asks what.</summary>
    public SignIn? Known(string id) => Kept(id) is { } kept ? IsLeft(kept) ? kept with { ConfirmedAt = null, Locked = true } : kept : null;

    /// <summary>Whether the person proved lately enough that it is them.</summary>
    public bool IsConfirmed(SignIn signIn) => signIn.ConfirmedAt is { } at && time.GetUtcNow() - at < ProofCounts;

    /// <summary>The person proved that it is them: for a while they may do what asks for that, and the console uncovers itself.</summary>
    public Task Confirm(string id) => Change(id, signIn => signIn with { ConfirmedAt = time.GetUtcNow(), ActiveAt = time.GetUtcNow(), Locked = false });

    /// <summary>Covers the console. What was proved before counts no more.</summary>
    public Task Lock(string id) => Change(id, signIn => signIn with { ConfirmedAt = null, Locked = true });

    /// <summary>Somebody did something. Whoever comes back to a console that was left proves first that it is them.</summary>
    public void Touch(string id)
    {
        if (_known.TryGetValue(id, out var known) && !IsLeft(known))
        {
            _known.TryUpdate(id, known with { ActiveAt = time.GetUtcNow() }, known);
            WriteActivity(id);
        }
    }

    /// <summary>How long nobody has been seen at any console of a sign-in.</summary>
    public TimeSpan Idle(SignIn signIn) => time.GetUtcNow() - signIn.ActiveAt;

    /// <summary>A console says that nobody is there, or its person covers it.</summary>
    /// <returns>Whether it is covered by that: not when somebody is at another tab.</returns>
    public async Task<bool> Leave(string id, bool byHand)
    {
        if (await Asked(id) is not { Locked: false } known || (!byHand && Idle(known) < settings.IdleLimit - _reported))
        {
            return false;
        }

        await Lock(id);
        return true;
    }

    /// <summary>Keeps the cover of all consoles that were left alone for longer than they may, so that it stands after a restart too.</summary>
    public async Task LockLeft()
    {
        foreach (var left in _known.Values.Where(IsLeft).ToList())
        {
            if (await Asked(left.Id) is { } kept && IsLeft(kept))
            {
                await Lock(left.Id);
            }
        }
    }

    /// <summary>Ends one, and closes its live connections.</summary>
    public async Task End(string id)
    {
        await using (var context = await contexts.CreateDbContextAsync())
        {
            await context.SignIns.Where(row => row.SignInId == id).ExecuteDeleteAsync();
        }

        _known.TryRemove(id, out _);
        live.EndSignIn(id);
        wire.Tell(WireWord.SignIn, id);
    }

    /// <summary>Ends all of a person: they sign in anew everywhere.</summary>
    public Task EndAll(string personId) => EndOthers(personId, string.Empty);

    /// <summary>Ends all of a person but one, which goes on as it is: neither younger nor proved anew.</summary>
    /// <param name="personId">Whose.</param>
    /// <param name="staysId">Id of the one that stays.</param>
    public async Task EndOthers(string personId, string staysId)
    {
        await using (var context = await contexts.CreateDbContextAsync())
        {
            await context.SignIns.Where(row => row.PersonId == personId && row.SignInId != staysId).ExecuteDeleteAsync();
        }

        foreach (var known in _known.Values.Where(known => known.PersonId == personId && known.Id != staysId))
        {
            _known.TryRemove(known.Id, out _);
            wire.Tell(WireWord.SignIn, known.Id);
        }

        live.End(console => console.PersonId == personId && console.SignInId != staysId);
    }

    private SignIn? Kept(string id) => _known.TryGetValue(id, out var known) && time.GetUtcNow() - known.BeganAt < Longest ? known : null;

    private bool IsLeft(SignIn signIn) => !signIn.Locked && Idle(signIn) > settings.IdleLimit;

    private static DateTimeOffset Time(long ticks) => new(ticks, TimeSpan.Zero);

    private async Task Change(string id, Func<SignIn, SignIn> change)
    {
        if (await Find(id, CancellationToken.None) is null)
        {
            return;
        }

        // Memory first: what is locked is locked at once, also when the disk fails.
        SignIn before;
        SignIn after;
        do
        {
            if (!_known.TryGetValue(id, out before!))
            {
                return;
            }

            after = change(before);
        }
        while (!_known.TryUpdate(id, after, before));

        var confirmed = after.ConfirmedAt?.UtcTicks;
        var active = settings.IsShared ? after.ActiveAt.UtcTicks : (long?)null;
        await using var context = await contexts.CreateDbContextAsync();
        await context.SignIns.Where(row => row.SignInId == id).ExecuteUpdateAsync(set => set.SetProperty(row => row.ConfirmedTicks, confirmed).SetProperty(row => row.Locked, after.Locked).SetProperty(row => row.ActiveTicks, active));
        wire.Tell(WireWord.SignIn, id);
    }

    // Somebody may be at a tab that is connected to another hub.
    private async ValueTask<SignIn?> Asked(string id)
    {
        if (settings.IsShared)
        {
            await Read(id, CancellationToken.None);
        }

        return Kept(id);
    }

    private void WriteActivity(string id)
    {
        var now = time.GetTimestamp();
        if (settings.IsShared && (!_activityWritten.TryGetValue(id, out var last) || time.GetElapsedTime(last, now) > _written))
        {
            _activityWritten[id] = now;
            _ = Write();
        }

        async Task Write()
        {
            try
            {
                var ticks = time.GetUtcNow().UtcTicks;
                await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
                await context.SignIns.Where(row => row.SignInId == id).ExecuteUpdateAsync(set => set.SetProperty(row => row.ActiveTicks, ticks), CancellationToken.None);
            }
            catch (Exception fault) when (StoreFaults.Is(fault))
            {
                // The console may cover itself early, no worse.
                _activityWritten.TryRemove(id, out _);
            }
        }
    }
}
