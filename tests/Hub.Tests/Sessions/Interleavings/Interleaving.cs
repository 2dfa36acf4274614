using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions.Interleavings;

/// <summary>A hub as the interleavings see it.</summary>
internal interface IHubAtHand
{
    DateTimeOffset Now { get; }

    /// <summary>Sends a command.</summary>
    /// <returns>Whether something was carried out because of it, and the order that followed.</returns>
    Task<(bool Carried, StepOrder? Order)> Send(CommandEnvelope envelope, PersonCaller by);

    /// <summary>The step in hand of a session ends.</summary>
    void End(int session, StepId step);

    /// <summary>Time passes; consoles that were silent for so long lose control.</summary>
    /// <param name="time">How much.</param>
    /// <param name="session">In which session.</param>
    /// <param name="silent">Whether whoever commands was not heard.</param>
    /// <param name="lenderSilent">Whether who lent it to them, if anybody did, was not heard.</param>
    /// <returns>Whether the time of this hub is in the hand of the test.</returns>
    bool Pass(TimeSpan time, int session, bool silent, bool lenderSilent);
}

/// <summary>One generated history of two sessions with two kits and a few people, in which the model says of everything whether it must happen.</summary>
internal sealed class Interleaving(Random random, IHubAtHand hub, SessionId[] sessions, ControlModel[] models, KitDoor[]? kits, Tally tally)
{
    private static readonly PersonCaller _stranger = new("stranger", "Nobody knows", []);
    private static readonly PersonCaller[] _people = [PureSession.Maren, PureSession.Ivo, PureSession.Ada, _stranger];
    private readonly List<(CommandEnvelope Envelope, PersonCaller By)> _sent = [];
    private readonly List<(CommandEnvelope Envelope, PersonCaller By)> _heldBack = [];
    private readonly List<(StepOrder Order, int Kit)> _wires = [];
    private readonly HashSet<CommandId> _used = [];
    private readonly HashSet<StepId> _delivered = [];

    public async Task Run(int moves)
    {
        for (var index = 0; index < sessions.Length; index++)
        {
            kits?[index].Show(sessions[index], models[index].Epoch);
        }

        for (var move = 0; move < moves; move++)
        {
            await Move();
        }

        foreach (var (envelope, by) in _heldBack)
        {
            await Send(Attack.HeldBack, envelope, by);
        }
    }

    // Time and kits are in the hand of the hub without a disk alone.
    private Task Move() => random.Next(kits is null ? 10 : 16) switch
    {
        0 or 1 or 2 or 3 => Send(Attack.Fresh, Envelope(out var by), by),
        // The memory of ids is the store's: without it nothing is sent under an id of before.
        4 => kits is null ? Earlier(Attack.Replayed, (sent, by) => (sent, by)) : OldEpochOrder(random.Next(2)),
        5 => Earlier(Attack.Forged, (sent, by) => (kits is null && random.Next(2) == 0 ? sent : sent with { CommandId = CommandId.New() }, _people.Where(other => other.Id != by.Id).ElementAt(random.Next(_people.Length - 1)))),
        6 => Earlier(Attack.CrossSession, (sent, by) => (sent with { CommandId = kits is null && random.Next(3) == 0 ? sent.CommandId : CommandId.New(), SessionId = sessions.First(session => session != sent.SessionId), ExpectedVersion = models[1 - Array.IndexOf(sessions, sent.SessionId)].Version }, by)),
        7 => Send(Attack.StaleEpoch, Envelope(out var by) is var fresh ? fresh with { ControlEpoch = fresh.ControlEpoch + (random.Next(4) == 0 ? 1 : -1) } : fresh, by),
        8 => Send(Attack.Expired, Envelope(out var by) with { ExpiresAt = hub.Now - TimeSpan.FromMilliseconds(random.Next(1, 60_000)) }, by),
        9 => HoldBack(),
        10 => Later(),
        11 => StepEnds(),
        12 or 13 => Deliver(),
        14 => DeliverElsewhere(),
        _ => ShowScene(random.Next(2)),
    };

    private async Task Send(Attack attack, CommandEnvelope envelope, PersonCaller by)
    {
        attack = by.Roles.Contains(Roles.Assistant) && attack == Attack.Fresh ? Attack.Assistant : attack;
        var index = Array.IndexOf(sessions, envelope.SessionId);
        var model = models[index];
        var expected = !_used.Contains(envelope.CommandId) && model.Accepts(envelope, by, hub.Now);
        var (carried, order) = await hub.Send(envelope, by);
        Assert.True(expected == carried, $"{attack}: {by.Id} sends {envelope.Command} under epoch {envelope.ControlEpoch} of {model.Epoch}, held by {model.Holder ?? "nobody"}: {(carried ? "carried out" : "refused")}.");
        tally.Count(attack, carried);
        _sent.Add((envelope, by));
        if (carried)
        {
            _used.Add(envelope.CommandId);
            model.Carry(envelope, by, hub.Now, order?.StepId);
            if (order is not null)
            {
                _wires.Add((order, index));
            }
        }
    }

    private Task Earlier(Attack attack, Func<CommandEnvelope, PersonCaller, (CommandEnvelope, PersonCaller)> change)
    {
        if (_sent.Count == 0)
        {
            return Task.CompletedTask;
        }

        var (sent, by) = _sent[random.Next(_sent.Count)];
        var (envelope, sender) = change(sent, by);
        return Send(attack, envelope, sender);
    }

    private Task HoldBack()
    {
        if (_heldBack.Count > 0 && random.Next(2) == 0)
        {
            var (envelope, by) = _heldBack[0];
            _heldBack.RemoveAt(0);
            return Send(Attack.HeldBack, envelope, by);
        }

        _heldBack.Add((Envelope(out var sender), sender));
        return Task.CompletedTask;
    }

    private Task Later()
    {
        var index = random.Next(2);
        var (silent, lenderSilent) = (random.Next(3) == 0, random.Next(4) == 0);
        if (hub.Pass(TimeSpan.FromSeconds(random.Next(1, 400)), index, silent, lenderSilent))
        {
            models[index].TimePassed(silent, lenderSilent, hub.Now);
        }

        return Task.CompletedTask;
    }

    private Task StepEnds()
    {
        var index = random.Next(2);
        if (models[index].Step is { } step)
        {
            hub.End(index, step);
            models[index].Ended();
        }

        return Task.CompletedTask;
    }

    private Task Deliver()
    {
        if (_wires.Count > 0)
        {
            var (order, kit) = _wires[random.Next(_wires.Count)];
            Carry(_delivered.Add(order.StepId) ? Attack.OrderDelivered : Attack.OrderReplayed, order, kit);
        }

        return Task.CompletedTask;
    }

    private Task DeliverElsewhere()
    {
        if (_wires.Count > 0)
        {
            var (order, kit) = _wires[random.Next(_wires.Count)];
            Carry(Attack.OrderCrossKit, order, 1 - kit);
        }

        return Task.CompletedTask;
    }

    private void Carry(Attack attack, StepOrder order, int kit)
    {
        var now = (long)(hub.Now - PureHub.Start).TotalMilliseconds;
        var expected = kits![kit].Accepts(order, now);
        var code = kits[kit].Carry(order, now);
        var begun = code is null;
        Assert.True(expected == begun, $"{attack}: order {order.OrderNumber} of epoch {order.ControlEpoch} is {(begun ? "begun" : "refused")} by kit {kit}.");
        Assert.False(begun && attack is Attack.OrderReplayed or Attack.OrderCrossKit or Attack.OrderOfOldEpoch, "A kit begins one order twice, another kit's, or one of a time of control that is over.");
        tally.Count(attack, code);
    }

    /// <summary>What was signed before control changed hands and reaches the kit after its scene did: new, in time, of its session, and somebody else's.</summary>
    private Task OldEpochOrder(int index)
    {
        ShowScene(index);
        var now = (long)(hub.Now - PureHub.Start).TotalMilliseconds;
        var order = new StepOrder(sessions[index], StepId.New(), kits![index].NextNumber(sessions[index]), models[index].Epoch - 1, now + 1000, 100, 7, [], new MeasureRoomStep(10)) { Covered = ConsentPurposes.All };
        Carry(Attack.OrderOfOldEpoch, order, index);
        return Task.CompletedTask;
    }

    private Task ShowScene(int index)
    {
        kits![index].Show(sessions[index], models[index].Epoch);
        return Task.CompletedTask;
    }

    private CommandEnvelope Envelope(out PersonCaller by)
    {
        var index = random.Next(2);
        var model = models[index];

        // Mostly by whoever may, so that control moves; otherwise by anybody.
        by = random.Next(2) == 0 && _people.FirstOrDefault(person => person.Id == model.Holder) is { } holder ? holder : _people[random.Next(_people.Length)];
        return new CommandEnvelope(Protocol.Version, CommandId.New(), sessions[index], model.Epoch, model.Version, hub.Now.AddSeconds(30), Command(model, by));
    }

    private SessionCommand Command(ControlModel model, PersonCaller by) => random.Next(20) switch
    {
        0 => new TakeControl(),
        1 => new ReleaseControl(),
        2 => new RequestControl("please"),
        3 => new GrantControl(Somebody()),
        4 => new DeclineControl(Somebody(), null),
        5 => new TakeOverControl("needed"),
        6 => new OfferControl(Somebody(), "please"),
        7 => new AcceptControl(),
        8 => new EndOffer(null),
        9 or 10 => new LendControl(random.Next(4) == 0 ? Somebody() : "ada", [random.Next(2) == 0 ? AssistantTask.RoomNoise : AssistantTask.Coach], random.Next(1, 8)),
        11 => random.Next(2) == 0 ? new GiveBackControl() : new TakeBackControl(),
        12 => new AddNote("note"),
        13 => random.Next(2) == 0 ? new Hold(null) : new Resume("on"),
        14 => new CutStep(model.Step ?? default),
        15 or 16 => Samples.Identity,
        _ when by.Id == "ada" && random.Next(2) == 0 => new OrderStep(new PresentToneStep(Ear.Left, 1000, 40, ToneShape.Steady, 1000), false),
        _ => new OrderStep(new MeasureRoomStep(10), false),
    };

    private string Somebody() => _people[random.Next(_people.Length)].Id;
}
