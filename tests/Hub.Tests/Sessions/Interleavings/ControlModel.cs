using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Tests.Sessions.Interleavings;

/// <summary>What control of one session should be, said a second time and in another way than the hub does: a table of who holds what, with a rule a command. It shares no code with the deciders.</summary>
internal sealed class ControlModel(long version, int epoch, string? holder, bool stepsPossible)
{
    private static readonly string[] _assistants = [nameof(OrderStep), nameof(CutStep), nameof(Hold), nameof(AddNote), nameof(SayOnScreen), nameof(GiveBackControl)];
    private readonly SortedSet<string> _asks = [];
    private long _decisive = version;
    private string? _lender;
    private AssistantTask[] _tasks = [];
    private DateTimeOffset _until;
    private string? _offeredTo;
    private bool _held;
    private StepId? _step;

    // Who confirmed the start card since the last long gap; nobody after one. Whoever leads has to have done it before a step.
    private string? _cardBy = holder;
    private DateTimeOffset? _offSince;

    public int Epoch { get; private set; } = epoch;

    public string? Holder { get; private set; } = holder;

    public long Version { get; private set; } = version;

    public StepId? Step => _step;

    /// <summary>Whether a command must be carried out.</summary>
    public bool Accepts(CommandEnvelope envelope, PersonCaller by, DateTimeOffset now)
    {
        var command = envelope.Command;
        var silence = command is Hold or CutStep or TakeBackControl;
        return MayAtAll(by, command)
            && now <= envelope.ExpiresAt
            && envelope.ControlEpoch == Epoch
            && envelope.ExpectedVersion <= Version
            && (silence || envelope.ExpectedVersion >= _decisive)
            && Theirs(by.Id, command, now)
            && Fits(command);
    }

    /// <summary>What a command that was carried out makes of it.</summary>
    public void Carry(CommandEnvelope envelope, PersonCaller by, DateTimeOffset now, StepId? ordered)
    {
        Version++;
        switch (envelope.Command)
        {
            case TakeControl or TakeOverControl or AcceptControl:
                Change(by.Id, raise: true);
                break;
            case ReleaseControl:
                Change(null, raise: false);
                break;
            case GrantControl grant:
                Change(grant.ToPersonId, raise: true);
                break;
            case RequestControl:
                _asks.Add(by.Id);
                break;
            case DeclineControl decline:
                _asks.Remove(decline.ToPersonId);
                break;
            case OfferControl offer:
                _offeredTo = offer.ToPersonId;
                break;
            case EndOffer:
                _offeredTo = null;
                break;
            case LendControl lend:
                Keeping(() => Change(lend.ToPersonId, raise: true));
                (_lender, _tasks, _until) = (by.Id, [.. lend.Tasks], now.AddMinutes(lend.Minutes));
                break;
            case GiveBackControl or TakeBackControl:
                Return();
                break;
            case OrderStep:
                _step = ordered;
                break;
            case ConfirmIdentity:
                _cardBy = by.Id;
                break;
            case Hold:
                (_held, _decisive) = (true, Version);
                _offSince ??= now;
                break;
            case Resume:
                (_held, _decisive) = (false, Version);
                _cardBy = now - _offSince > TimeSpan.FromMinutes(10) ? null : _cardBy;
                _offSince = null;
                break;
        }
    }

    /// <summary>A step ended at the kit.</summary>
    public void Ended()
    {
        Version++;
        _step = null;
    }

    /// <summary>What the hub must do by itself when the holder, or who lent it to them, was silent for so long.</summary>
    /// <returns>Whether anything.</returns>
    public bool TimePassed(bool silent, bool lenderSilent, DateTimeOffset now)
    {
        var abandoned = _lender is not null && lenderSilent;
        if (Holder is null || !(silent || abandoned || (_lender is not null && now >= _until)))
        {
            return false;
        }

        Version++;
        if (_lender is not null && !abandoned)
        {
            Return();
            return true;
        }

        Change(null, raise: true);
        _held = true;
        _offSince ??= now;
        return true;
    }

    private static bool MayAtAll(PersonCaller by, SessionCommand command) =>
        by.Roles.Contains(Roles.Clinician) || (by.Roles.Contains(Roles.Assistant) && _assistants.Contains(command.GetType().Name));

    private bool Theirs(string who, SessionCommand command, DateTimeOffset now) => command switch
    {
        TakeControl => Holder is null,
        RequestControl or TakeOverControl => Holder is not null && Holder != who && _lender != who,
        AcceptControl => _offeredTo == who,
        EndOffer => _offeredTo == who || Mine(who),
        TakeBackControl => _lender is not null && _lender == who,
        _ when _lender is null => Mine(who) && command is not GiveBackControl,
        Hold or CutStep or GiveBackControl => Mine(who),
        _ => Mine(who) && now < _until && Lent(command),
    };

    private bool Mine(string who) => Holder == who;

    private bool Lent(SessionCommand command) => command switch
    {
        OrderStep { Request: MeasureRoomStep } => _tasks.Contains(AssistantTask.RoomNoise),
        SayOnScreen or AddNote => _tasks.Contains(AssistantTask.Coach) || _tasks.Contains(AssistantTask.EarPicture),
        _ => false,
    };

    private bool Fits(SessionCommand command) => command switch
    {
        GrantControl grant => _asks.Contains(grant.ToPersonId) && _lender is null && _step is null,
        DeclineControl decline => _asks.Contains(decline.ToPersonId),
        OfferControl offer => _lender is null && offer.ToPersonId != Holder && offer.ToPersonId is "maren" or "ivo",
        AcceptControl => _step is null,
        EndOffer => _offeredTo is not null,
        LendControl lend => _lender is null && _step is null && lend.ToPersonId == "ada",
        GiveBackControl or ReleaseControl => _step is null,
        CutStep cut => _step is { } step && cut.StepId == step,
        OrderStep => stepsPossible && !_held && _step is null && _cardBy is not null && _cardBy == (_lender ?? Holder),
        ConfirmIdentity => stepsPossible,
        Hold => !_held,
        Resume => _held && stepsPossible,
        _ => true,
    };

    private void Change(string? holder, bool raise)
    {
        Holder = holder;
        Epoch += raise ? 1 : 0;
        _decisive = Version;
        _asks.Clear();
        (_lender, _tasks, _offeredTo) = (null, [], null);
    }

    private void Return()
    {
        var to = _lender;
        Keeping(() => Change(to, raise: true));
    }

    private void Keeping(Action change)
    {
        string[] asks = [.. _asks];
        change();
        _asks.UnionWith(asks);
    }
}
