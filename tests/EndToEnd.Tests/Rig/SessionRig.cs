using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>Hub, proxy, agent and a scripted clinician, up and linked.</summary>
internal sealed class SessionRig : IAsyncDisposable
{
    /// <summary>A short test: both ears at 1000 and 4000 Hz.</summary>
    public const string ShortListener = "ear,frequency_hz,air_db_hl,bone_db_hl\nright,1000,20,\nright,4000,40,\nleft,1000,25,\nleft,4000,50,\n";

    private static readonly int[] _frequencies = [1000, 4000];

    /// <summary>What is tested of the short listener.</summary>
    public static TestPlan ShortPlan => new([new EarPlan(Ear.Right, _frequencies), new EarPlan(Ear.Left, _frequencies)], StoppingRule.TwoOfThree, ToneShape.Steady);

    private SessionRig(HubRig hub, TcpProxy proxy, AgentRig agent, ConsoleLink link, ScriptedClinician clinician)
    {
        Hub = hub;
        Proxy = proxy;
        Agent = agent;
        Link = link;
        Clinician = clinician;
    }

    public HubRig Hub { get; }

    /// <summary>Stands between agent and hub; the console does not go through it.</summary>
    public TcpProxy Proxy { get; }

    public AgentRig Agent { get; }

    /// <summary>The clinician's connection.</summary>
    public ConsoleLink Link { get; }

    /// <summary>Walks the session.</summary>
    public ScriptedClinician Clinician { get; }

    /// <summary>Brings everything up.</summary>
    public static Task<SessionRig> Start(string certificate, string pace, CancellationToken cancellationToken) => Start(certificate, pace, hubFolder: null, cancellationToken);

    /// <summary>Brings everything up with the hub's data in a folder of one's own, or with another listener.</summary>
    public static async Task<SessionRig> Start(string certificate, string pace, string? hubFolder, CancellationToken cancellationToken, string listener = ShortListener)
    {
        var hub = await HubRig.Start(hubFolder, cancellationToken);
        var proxy = new TcpProxy(hub.Port);
        var agent = new AgentRig(new Uri($"http://127.0.0.1:{proxy.Port}"), listener);
        await agent.Provision(certificate, cancellationToken);
        await agent.Start(pace, hub.EnrolmentCode, cancellationToken);
        var link = await hub.SignIn(cancellationToken);
        return new SessionRig(hub, proxy, agent, link, new ScriptedClinician(link, ShortPlan, new WalkNarrator(TextWriter.Null, TimeProvider.System), TimeProvider.System));
    }

    /// <summary>Walks as far as a stage.</summary>
    public async Task<SessionView> WalkTo(SessionStage stage, CancellationToken cancellationToken)
    {
        var end = await Clinician.WalkUntil(view => view.Stage == stage, cancellationToken).WaitAsync(Limits.Walk, TimeProvider.System, cancellationToken);
        Assert.True(end.View.Stage == stage, $"{end.Sentence}\nagent:\n{Agent.Process.Text()}\nhub:\n{Hub.Process.Text()}");
        return end.View;
    }

    /// <summary>Orders a step and waits until it is completed.</summary>
    public async Task<SessionView> Carry(StepRequest request, bool loudConfirmed, CancellationToken cancellationToken)
    {
        var view = await CarryToItsEnd(request, loudConfirmed, cancellationToken);
        Assert.True(view.Step!.Ending == StepEnding.Completed, view.Step.Reason);
        return view;
    }

    /// <summary>Orders a step and waits for its end, whichever that is.</summary>
    public async Task<SessionView> CarryToItsEnd(StepRequest request, bool loudConfirmed, CancellationToken cancellationToken)
    {
        var receipt = await Link.Ask(new OrderStep(request, loudConfirmed), cancellationToken);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        try
        {
            return await Link.Until(seen => seen.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellationToken).WaitAsync(Limits.Step, TimeProvider.System, cancellationToken);
        }
        catch (TimeoutException)
        {
            throw new Xunit.Sdk.XunitException($"The step did not end.\nagent:\n{Agent.Process.Text()}\nhub:\n{Hub.Process.Text()}");
        }
    }

    /// <summary>Asks for something that must be accepted, and waits until the picture shows it.</summary>
    public async Task Must(SessionCommand command, CancellationToken cancellationToken)
    {
        var receipt = await Link.Ask(command, cancellationToken);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        await Link.Until(seen => seen.Version >= receipt.SessionVersion, cancellationToken);
    }

    public async ValueTask DisposeAsync()
    {
        await Link.DisposeAsync();
        await Agent.DisposeAsync();
        await Proxy.DisposeAsync();
        await Hub.DisposeAsync();
    }
}
