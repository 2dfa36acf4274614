using System.Collections.Concurrent;
using System.Globalization;
using System.Threading.Channels;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Links;
using TeleHearing.Testing;
using TeleHearing.Testing.Messages;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>What came of a number of errors of one class.</summary>
/// <param name="Error">The class.</param>
/// <param name="Injected">Errors made.</param>
/// <param name="Caught">Errors that were seen by who got the message.</param>
/// <param name="By">What they were seen by.</param>
internal sealed record TamperFigures(CommunicationError Error, int Injected, int Caught, IReadOnlyDictionary<string, int> By);

/// <summary>Real hub and site agent and a console's connection, every message of all three through one proxy that tampers with them, in plain HTTP: the protocol alone must notice.</summary>
internal sealed class TamperCampaign : IAsyncDisposable
{
    /// <summary>What the agent writes when a record did not come as it was sent.</summary>
    private const string Caught = "did not come as it was sent (";

    /// <summary>What the hub writes, as it stands in its log.</summary>
    private const string CaughtByHub = "did not come as it was sent ({Defence})";

    private static readonly TimeSpan _seenWithin = TimeSpan.FromSeconds(20);
    private static readonly PresentToneStep _tone = new(Ear.Right, 1000, 40, ToneShape.Steady, 300);

    private readonly HubRig _hub;
    private readonly MessageProxy _proxy;
    private readonly AgentRig _agent;
    private readonly ConsoleLink _console;
    private readonly ScriptedClinician _clinician;
    private readonly Tampering _tampering;
    private readonly Dictionary<WireWay, Channel<string>> _seen = WireWay.All.ToDictionary(way => way, _ => Channel.CreateUnbounded<string>());
    private readonly ConcurrentQueue<(CommandEnvelope Envelope, Receipt Receipt)> _asked = new();
    private readonly HubLogTail _log;
    private readonly Random _random;
    private int _said;

    private TamperCampaign(HubRig hub, MessageProxy proxy, AgentRig agent, ConsoleLink console, int seed)
    {
        (_hub, _proxy, _agent, _console) = (hub, proxy, agent, console);
        (_random, _tampering) = (new Random(seed), new Tampering(proxy, seed));
        _clinician = new ScriptedClinician(console, SessionRig.ShortPlan, new WalkNarrator(TextWriter.Null, TimeProvider.System), TimeProvider.System);
        _console.Answered += (envelope, receipt) => _asked.Enqueue((envelope, receipt));
        _console.Caught += fault => See(new WireWay(Protocol.ConsoleHubPath, LinkDirection.FromHub), fault.Defence.ToString());
        _agent.Process.Wrote += line =>
        {
            if (line.IndexOf(Caught, StringComparison.Ordinal) is >= 0 and var at)
            {
                See(new WireWay(Protocol.KitHubPath, LinkDirection.FromHub), line[(at + Caught.Length)..line.IndexOf(')', at)]);
            }
        };
        _log = new HubLogTail(hub, line =>
        {
            if (line.GetProperty("@mt").GetString()!.Contains(CaughtByHub, StringComparison.Ordinal))
            {
                See(new WireWay(line.GetProperty("Hub").GetString() == "KitHub" ? Protocol.KitHubPath : Protocol.ConsoleHubPath, LinkDirection.ToHub), line.GetProperty("Defence").GetString()!);
            }
        });
    }

    /// <summary>Brings everything up, as far as testing.</summary>
    public static async Task<TamperCampaign> Start(int seed, CancellationToken cancellationToken)
    {
        var hub = await HubRig.Start(cancellationToken);
        var proxy = new MessageProxy(hub.Port);
        var through = new Uri($"http://127.0.0.1:{proxy.Port}");
        var agent = new AgentRig(through, SessionRig.ShortListener);
        await agent.Provision("valid", cancellationToken);
        await agent.Start("fast", hub.EnrolmentCode, cancellationToken);
        var campaign = new TamperCampaign(hub, proxy, agent, await hub.SignIn(cancellationToken, through), seed);
        var end = await campaign._clinician.WalkUntil(view => view.Stage == SessionStage.Testing, cancellationToken).WaitAsync(Limits.Walk, TimeProvider.System, cancellationToken);
        Assert.True(end.View.Stage == SessionStage.Testing, end.Sentence);
        return campaign;
    }

    /// <summary>Makes errors of a class one after the other, on all links and in both directions, while the session is worked on.</summary>
    public async Task<TamperFigures> Run(CommunicationError error, int injections, CancellationToken cancellationToken)
    {
        var by = new SortedDictionary<string, int>(StringComparer.Ordinal);
        var caught = 0;
        for (var made = 0; made < injections; made++)
        {
            await Ready(cancellationToken);
            var seen = error == CommunicationError.Delay ? await TooLate(made, cancellationToken) : await Tamper(error, WireWay.All[(made + (int)error) % WireWay.All.Count], cancellationToken);
            if (seen is not null)
            {
                caught++;
                by[seen] = by.GetValueOrDefault(seen) + 1;
            }
        }

        return new TamperFigures(error, injections, caught, by);
    }

    /// <summary>The session's log is whole as it stands: nothing of all that was used.</summary>
    public async Task AssertWhole(CancellationToken cancellationToken)
    {
        await Ready(cancellationToken);
        Assert.True(_console.View.Integrity.Valid);
        await WholeLog.AssertOf(_console, _hub.Session, cancellationToken);
    }

    /// <summary>The session is finished, its log is whole and its receipts stand.</summary>
    public async Task Finish(CancellationToken cancellationToken)
    {
        await Ready(cancellationToken);
        var end = await _clinician.Walk(cancellationToken).WaitAsync(Limits.Walk, TimeProvider.System, cancellationToken);
        Assert.True(end.Closed, $"{end.Sentence}\nagent:\n{_agent.Process.Text()}\nhub:\n{_hub.Process.Text()}");
        Assert.True(end.View.Integrity.Valid);
        Assert.Equal(4, end.View.Thresholds.Count);
        await WholeLog.AssertOf(_console, _hub.Session, cancellationToken);
        await WholeLog.AssertReceiptsStand(_console, [.. _asked.TakeLast(50)], cancellationToken);
    }

    public async ValueTask DisposeAsync()
    {
        await _log.DisposeAsync();
        await _console.DisposeAsync();
        await _agent.DisposeAsync();
        await _proxy.DisposeAsync();
        await _hub.DisposeAsync();
    }

    private void See(WireWay way, string defence) => _seen[way].Writer.TryWrite(defence);

    /// <summary>Between two errors: the kit is linked, the session stands at testing, no step is in hand.</summary>
    private async Task Ready(CancellationToken cancellationToken)
    {
        try
        {
            await _console.Until(view => view is { Stage: SessionStage.Testing, Kit.Online: true, Step: null or { Ending: not null } }, cancellationToken).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
        }
        catch (TimeoutException)
        {
            throw new Xunit.Sdk.XunitException($"The session did not come back: {_console.View.Stage}, {_console.View.StageReason}.\nagent:\n{_agent.Process.Text()}\nhub:\n{_hub.Process.Text()}");
        }
    }

    private async Task<string?> Tamper(CommunicationError error, WireWay way, CancellationToken cancellationToken)
    {
        while (_seen[way].Reader.TryRead(out _))
        {
            // What was seen before belongs to an error before.
        }

        var changed = _tampering.Arm(error, way, _random.Next(6));
        var activity = Work(cancellationToken);
        await changed.WaitAsync(_seenWithin, TimeProvider.System, cancellationToken);
        string? seen = null;
        try
        {
            seen = await _seen[way].Reader.ReadAsync(cancellationToken).AsTask().WaitAsync(_seenWithin, TimeProvider.System, cancellationToken);
        }
        catch (TimeoutException)
        {
            // Not caught: counted as such by the caller.
        }

        await activity;
        return seen;
    }

    /// <summary>Something to be asked, ordered, reported and shown.</summary>
    private async Task Work(CancellationToken cancellationToken)
    {
        SessionCommand command = ++_said % 2 == 0 ? new OrderStep(_tone, LoudConfirmed: false) : new SayOnScreen(string.Create(CultureInfo.InvariantCulture, $"line {_said}"));

        // It may be refused when the link went in between: what counts is that it is answered.
        try
        {
            var receipt = await _console.Ask(command, cancellationToken).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
            if (receipt.Accepted())
            {
                // The picture follows the answer: one from before it would look as if no step were in hand.
                await _console.Until(view => view.Version >= receipt.SessionVersion, cancellationToken).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
            }
        }
        catch (TimeoutException)
        {
            throw new Xunit.Sdk.XunitException($"A command was not answered: {_console.View.Stage}, connections {string.Join(", ", _proxy.Standing.Select(one => $"{one.Number} {one.Path}"))}.\nagent:\n{_agent.Process.Text()}");
        }
    }

    /// <summary>Holds a command on its way to the hub, or its order on its way to the kit, until just after it may be carried out.</summary>
    /// <returns>The refusal it met.</returns>
    private async Task<string?> TooLate(int made, CancellationToken cancellationToken)
    {
        var (toHub, life) = (made % 2 == 0, TimeSpan.FromMilliseconds(_random.Next(150, 400)));
        var late = life + TimeSpan.FromMilliseconds(150);
        var before = _proxy.Tamper!;
        var held = 0;
        _proxy.Tamper = async record =>
        {
            if (record.Target == (toHub ? nameof(IConsoleHub.Ask) : nameof(IKitClient.Carry)) && Interlocked.Exchange(ref held, 1) == 0)
            {
                await Task.Delay(late, TimeProvider.System, cancellationToken);
            }

            return await before(record);
        };
        try
        {
            var view = _console.View;

            // Hub and test are on one machine and share its clock.
            var expires = TimeProvider.System.GetUtcNow() + life;
            var receipt = await _console.Ask(new CommandEnvelope(Protocol.Version, CommandId.New(), view.SessionId, view.Control.Epoch, view.Version, expires, new OrderStep(_tone, LoudConfirmed: false)), cancellationToken);
            if (receipt.Refusal is { } refusal)
            {
                return refusal.Code == RefusalCodes.Expired ? refusal.Code : null;
            }

            var over = await _console.Until(seen => seen.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellationToken).WaitAsync(Limits.Step, TimeProvider.System, cancellationToken);
            return over.Step is { Ending: StepEnding.Refused, Code: RefusalCodes.Expired, Trials.Count: 0 } ? RefusalCodes.Expired : null;
        }
        finally
        {
            _proxy.Tamper = before;
        }
    }
}
