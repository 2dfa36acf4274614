using Microsoft.AspNetCore.SignalR;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Storage;
using TeleHearing.Simulation.Network;
using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation.Parts;

/// <summary>A clinician at a console: looks at the picture, thinks for a while, asks for what comes next, and asks again under the same id when an answer was lost.</summary>
internal sealed class SimConsole
{
    private static readonly Pulse _pulse = new(TimeSpan.FromSeconds(2), TimeSpan.FromSeconds(6), TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(30));

    private static readonly TimeSpan _handshake = TimeSpan.FromSeconds(3);
    private static readonly TimeSpan _askLife = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan _look = TimeSpan.FromSeconds(5);

    private readonly Machine _machine;
    private readonly Wire _wire;
    private readonly IHubPlace _place;
    private readonly SessionId _session;
    private readonly Random _person;
    private readonly ConsoleWitness _witness;
    private readonly ClinicianMind _mind;
    private readonly Queue<(SessionCommand Command, SessionView? On)> _wishes = new();
    private readonly Signal _changed;
    private TaskCompletionSource _lost = NewSignal();
    private Line? _line;
    private Calls? _calls;
    private ConsoleHubEnd? _end;
    private TimeSpan _hubAhead;

    public SimConsole(Machine machine, Wire wire, IHubPlace place, SignedInPerson who, SessionId session, TestPlan plan, Random person, ConsoleWitness witness)
    {
        (_machine, _wire, _place, Who, _session, _person, _witness) = (machine, wire, place, who, session, person, witness);
        _changed = new Signal(machine.Clock);
        _mind = new ClinicianMind(plan, who.Id);
    }

    public SignedInPerson Who { get; }

    /// <summary>The picture shown.</summary>
    public SessionView? View { get; private set; }

    /// <summary>What the clinician waits for; absent while they have something to do.</summary>
    public string? WaitsFor { get; private set; }

    public void Start()
    {
        _machine.Begin(StayConnected);
        _machine.Begin(StayPresent);
        _machine.Begin(Act);
    }

    /// <summary>The clinician wants something else than the next thing.</summary>
    /// <param name="command">What.</param>
    /// <param name="on">An old picture it is asked on, as from a tab that was left open; absent for the one shown.</param>
    public void Wish(SessionCommand command, SessionView? on = null) => _machine.Begin(() =>
    {
        _wishes.Enqueue((command, on));
        Tell();
    });

    /// <summary>Mostly a few seconds; now and then something is explained, asked or waited for.</summary>
    private TimeSpan Thought() => TimeSpan.FromSeconds(_person.Next(4) == 0 ? 15 + (60 * _person.NextDouble()) : 1 + (6 * _person.NextDouble()));

    private static TaskCompletionSource NewSignal() => new(TaskCreationOptions.RunContinuationsAsynchronously);

    private async Task StayConnected()
    {
        while (true)
        {
            try
            {
                await Connect();
                await _lost.Task;
            }
            catch (Exception fault) when (fault is IOException or HubException)
            {
                // The hub is not there, or went away again; it is tried once more.
            }

            await Task.Delay(TimeSpan.FromMilliseconds(_person.Next(200, 1200)), _machine.Clock, CancellationToken.None);
        }
    }

    private async Task Connect()
    {
        await Task.Delay(TimeSpan.FromTicks(3 * _wire.TripTicks()), _machine.Clock, CancellationToken.None);
        if (_wire.Silent)
        {
            await Task.Delay(_handshake, _machine.Clock, CancellationToken.None);
            throw new IOException("The hub does not answer.");
        }

        if (_wire.Refuses || _place.Hub is not { } hub)
        {
            throw new IOException("The hub takes no connection.");
        }

        _lost = NewSignal();
        var line = new Line(_machine.Loop, _wire, _pulse, _machine, hub.Machine);
        var calls = new Calls(line);
        line.ClientClosed += () =>
        {
            _lost.TrySetResult();
            (_line, _calls, _end) = (null, null, null);
            Tell();
        };
        var ready = new TaskCompletionSource<ConsoleHubEnd>(TaskCreationOptions.RunContinuationsAsynchronously);
        line.ClientClosed += () => ready.TrySetException(new IOException("The connection ended."));
        hub.Machine.Begin(async () =>
        {
            if (await hub.Take(line, Who, Take) is { } taken)
            {
                line.ToClient("connected", () => ready.TrySetResult(taken));
            }
            else
            {
                line.CloseAsHub();
            }
        });
        var end = await ready.Task;
        var reply = await Watch(calls, end);
        if (reply.View is not { } view)
        {
            if (reply.Refusal?.Code == RefusalCodes.Locked)
            {
                Confirm(hub);
            }

            line.CloseAsClient();
            throw new IOException(reply.Refusal?.Sentence);
        }

        (_line, _calls, _end) = (line, calls, end);
        Take(view);
    }

    private Task<WatchReply> Watch(Calls calls, ConsoleHubEnd end) => calls.Ask<WatchReply>(
        "WatchSession",
        answer => end.Serve(async served => answer(await served.WatchSession(Protocol.Version, _session), null), fault => answer(null, fault)),
        CancellationToken.None);

    /// <summary>What came too late may have been asked by a clock that the hub's has left behind: the next picture says what time it is there.</summary>
    private async Task LookAnew()
    {
        if ((_calls, _end) is ({ } calls, { } end) && (await Watch(calls, end)).View is { } view)
        {
            Take(view);
        }
    }

    private async Task StayPresent()
    {
        while (true)
        {
            await Task.Delay(TimeSpan.FromMilliseconds(Protocol.ControlRenewalMs), _machine.Clock, CancellationToken.None);
            if ((_line, _end) is ({ } line, { } end))
            {
                line.ToHub("RenewControl", () => end.Serve(hub => hub.RenewControl(_session), _ => { }));

                // Beside the link the console says that somebody is at it, so that it does not cover itself.
                line.ToHub("RenewControl", () => end.Get<SignIns>().Touch(Who.SignInId));
            }
        }
    }

    /// <summary>The clinician proves that it is them, as the page for it does.</summary>
    private void Confirm(HubMachine hub) => hub.Machine.Begin(async () =>
    {
        try
        {
            await hub.Services.GetRequiredService<SignIns>().Confirm(Who.SignInId);
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            // The page says that it was not taken; they try again.
        }
    });

    private async Task Act()
    {
        while (true)
        {
            if (_calls is null || View is not { } shown)
            {
                WaitsFor = "the hub";
                await _changed.Wait(_look);
                continue;
            }

            if (_wishes.TryDequeue(out var wish))
            {
                await Ask(wish.Command, wish.On ?? shown);
                continue;
            }

            if (_mind.Decide(shown) is not ClinicianIntent.Do)
            {
                WaitsFor = _mind.Decide(shown) switch
                {
                    ClinicianIntent.Wait wait => wait.For,
                    ClinicianIntent.Over over => over.Sentence,
                    _ => null,
                };
                await _changed.Wait(_look);
                continue;
            }

            WaitsFor = null;
            await Task.Delay(Thought(), _machine.Clock, CancellationToken.None);
            if (View is { } now && _mind.Decide(now) is ClinicianIntent.Do intent)
            {
                await Ask(intent.Command, now);
            }
        }
    }

    private async Task Ask(SessionCommand command, SessionView view)
    {
        var envelope = new CommandEnvelope(Protocol.Version, CommandId.New(), view.SessionId, view.Control.Epoch, view.Version, _machine.Clock.GetUtcNow() + _hubAhead + _askLife, command);
        _witness.Asked(envelope, Who);
        var tries = 0;
        while (true)
        {
            while (_calls is null)
            {
                await _changed.Wait(_look);
            }

            try
            {
                var twice = _person.Next(20) == 0;
                var first = Send(envelope);
                if (twice)
                {
                    // A finger that presses twice, or a proxy that sends twice.
                    await Send(envelope);
                }

                var receipt = await first;
                if (receipt.Refusal?.Code is RefusalCodes.ConfirmationNeeded or RefusalCodes.Locked && tries++ == 0 && _place.Hub is { } hub)
                {
                    Confirm(hub);
                    await Task.Delay(TimeSpan.FromSeconds(2), _machine.Clock, CancellationToken.None);
                    continue;
                }

                if (receipt.Refusal?.Code == RefusalCodes.Expired)
                {
                    await LookAnew();
                }
                else if (receipt.Refusal is not null)
                {
                    // The picture may be on its way that says why.
                    await _changed.Wait(TimeSpan.FromSeconds(1));
                }
                else
                {
                    await Until(receipt.SessionVersion);
                }

                return;
            }
            catch (IOException)
            {
                // Whether it was carried out is not known; the hub knows by the id.
            }
            catch (HubException)
            {
                await Task.Delay(TimeSpan.FromSeconds(1), _machine.Clock, CancellationToken.None);
            }
        }
    }

    private async Task<Receipt> Send(CommandEnvelope envelope)
    {
        var (calls, end) = (_calls ?? throw new IOException("The connection is not there."), _end!);
        var receipt = await calls.Ask<Receipt>("Ask " + envelope.Command.GetType().Name, answer => end.Serve(async hub => answer(await hub.Ask(envelope), null), fault => answer(null, fault)), CancellationToken.None);
        _witness.Answered(envelope, receipt);
        return receipt;
    }

    private async Task Until(long version)
    {
        for (var looks = 0; looks < 3 && (View is null || View.Version < version); looks++)
        {
            await _changed.Wait(_look);
        }
    }

    private void Take(SessionView view)
    {
        if (View is { } shown && view.Version < shown.Version)
        {
            return;
        }

        View = view;
        _hubAhead = view.HubTime - _machine.Clock.GetUtcNow();
        Tell();
    }

    private void Tell() => _changed.Give();
}
