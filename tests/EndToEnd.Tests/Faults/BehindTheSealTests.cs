using System.Globalization;
using System.Text.Json.Nodes;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Links;
using TeleHearing.Testing.Messages;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>Messages that are tampered with and sealed anew, so that the connection's seal fits: what they say is refused by a defence of their own, each by its name.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class BehindTheSealTests(ITestOutputHelper output)
{
    private static readonly PresentToneStep _tone = new(Ear.Right, 1000, 40, ToneShape.Steady, 300);

    private static readonly (string Defence, Action<JsonObject, Before> Change, string Code)[] _commands =
    [
        ("version of the protocol", (envelope, _) => envelope["protocolVersion"] = Protocol.Version + 1, RefusalCodes.ProtocolVersion),
        ("id of the session", (envelope, _) => envelope["sessionId"] = Guid.NewGuid(), RefusalCodes.SessionUnknown),
        ("epoch of control", (envelope, before) => envelope["controlEpoch"] = before.Epoch - 1, RefusalCodes.OldEpoch),
        ("version of the picture", (envelope, _) => envelope["expectedVersion"] = 1, RefusalCodes.StaleView),
        ("expiry", (envelope, _) => envelope["expiresAt"] = DateTimeOffset.UnixEpoch, RefusalCodes.Expired),
        ("check of the content", (envelope, _) => envelope["command"]!["request"]!["levelDbHl"] = "NaN", RefusalCodes.Invalid),
        ("check of the content", (envelope, _) => envelope["command"]!["request"]!["durationMs"] = 600_000, RefusalCodes.Invalid),
        ("id of the command", (envelope, before) => envelope["commandId"] = before.Used.Value, RefusalCodes.Duplicate),
    ];

    [Fact]
    public async Task WhatASealWouldLetThroughIsRefusedByADefenceOfItsOwn()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var hub = await HubRig.Start(cancellation);
        await using var proxy = new MessageProxy(hub.Port) { SealsAnew = true };
        var through = new Uri($"http://127.0.0.1:{proxy.Port}");
        await using var agent = new AgentRig(through, SessionRig.ShortListener);
        await agent.Provision("valid", cancellation);
        await agent.Start("fast", hub.EnrolmentCode, cancellation);
        await using var console = await hub.SignIn(cancellation, through);
        var clinician = new ScriptedClinician(console, SessionRig.ShortPlan, new WalkNarrator(TextWriter.Null, TimeProvider.System), TimeProvider.System);
        var end = await clinician.WalkUntil(view => view.Stage == SessionStage.Testing, cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.True(end.View.Stage == SessionStage.Testing, end.Sentence);
        var used = await console.Ask(new AddNote("asked before"), cancellation);
        await console.Until(view => view.Version >= used.SessionVersion, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);

        foreach (var (defence, change, code) in _commands)
        {
            var before = console.View.Version;
            var refusal = await AskChanged(proxy, console, envelope => change(envelope, new Before(console.View.Control.Epoch, used.CommandId)), cancellation);
            output.WriteLine($"command, {defence}: {refusal?.Code}");
            Assert.Equal(code, refusal?.Code);
            Assert.Equal(before, console.View.Version);
        }

        await OrdersAreTakenFromTheirHubAlone(proxy, console, agent, cancellation);
        await ReportsAreTakenFromTheirKitAloneAndComeAgain(proxy, console, cancellation);

        var closed = await clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.True(closed.Closed, closed.Sentence);
        await WholeLog.AssertOf(console, hub.Session, cancellation);
    }

    private static async Task<Refusal?> AskChanged(MessageProxy proxy, ConsoleLink console, Action<JsonObject> change, CancellationToken cancellation)
    {
        proxy.Tamper = Once(LinkDirection.ToHub, nameof(IConsoleHub.Ask), record =>
        {
            var message = record.Json;
            change((JsonObject)message["arguments"]![0]!);
            return [message.ToJsonString()];
        });
        return (await console.Ask(new OrderStep(_tone, LoudConfirmed: false), cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation)).Refusal;
    }

    private static async Task OrdersAreTakenFromTheirHubAlone(MessageProxy proxy, ConsoleLink console, AgentRig agent, CancellationToken cancellation)
    {
        // Sent twice, it is carried out once.
        string? kept = null;
        proxy.Tamper = Once(LinkDirection.FromHub, nameof(IKitClient.Carry), record =>
        {
            kept = record.Body;
            return [record.Text, record.Text];
        });
        Assert.Equal(StepEnding.Completed, (await Carried(console, cancellation)).Ending);
        await agent.Process.WaitForLine("was ordered twice", Limits.Start, cancellation);

        // Changed in one sign, or one of another link: nothing of it is done, and the link's end tells the hub.
        foreach (var change in new Func<WireRecord, string>[] { record => ChangeSigned(record), _ => kept! })
        {
            foreach (var link in proxy.Standing.Where(connection => connection.Path == Protocol.KitHubPath))
            {
                link.Abort();
            }

            await console.Until(view => !view.Kit.Online || view.Stage == SessionStage.LinkLost, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
            await console.Until(view => view is { Kit.Online: true, Stage: SessionStage.Testing }, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
            var unsigned = agent.Process.Lines.Count(NotSigned);
            proxy.Tamper = Once(LinkDirection.FromHub, nameof(IKitClient.Carry), record => [change(record)]);
            var ordered = await console.Ask(new OrderStep(_tone, LoudConfirmed: false), cancellation);
            Assert.True(ordered.Accepted(), ordered.Refusal?.Sentence);
            await Testing.Eventually.Holds(() => agent.Process.Lines.Count(NotSigned) > unsigned, "the kit refuses an order that is not signed for this link", Limits.Start, cancellation);
            Assert.DoesNotContain(agent.Process.Lines, line => line.Contains($"Step {ordered.StepId} began", StringComparison.Ordinal));
            proxy.Standing.Single(connection => connection.Path == Protocol.KitHubPath).Abort();
            var over = await console.Until(view => view.Step is { Ending: not null } step && step.StepId == ordered.StepId, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
            Assert.Equal((StepEnding.Refused, RefusalCodes.LinkLost), (over.Step!.Ending!.Value, over.Step.Code));
            await console.Until(view => view is { Kit.Online: true, Stage: SessionStage.Testing }, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        }

        static bool NotSigned(string line) => line.Contains("did not sign for this kit and this link", StringComparison.Ordinal);
    }

    /// <summary>Changed in one sign, nothing of it is taken; repeated, it is skipped; either way each fact stands once (the log is looked at in the end).</summary>
    private static async Task ReportsAreTakenFromTheirKitAloneAndComeAgain(MessageProxy proxy, ConsoleLink console, CancellationToken cancellation)
    {
        foreach (var change in new Func<WireRecord, IReadOnlyList<string>>[] { record => [ChangeSigned(record)], record => [record.Text, Again(record)] })
        {
            proxy.Tamper = Once(LinkDirection.ToHub, nameof(IKitHub.Report), change);
            var step = await Carried(console, cancellation);
            Assert.Contains(step.Ending, new StepEnding?[] { StepEnding.Completed, StepEnding.Interrupted });
            await console.Until(view => view is { Kit.Online: true, Stage: SessionStage.Testing }, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        }
    }

    private static async Task<StepView> Carried(ConsoleLink console, CancellationToken cancellation)
    {
        var receipt = await console.Ask(new OrderStep(_tone, LoudConfirmed: false), cancellation);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        return (await console.Until(view => view.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellation).WaitAsync(Limits.Step, TimeProvider.System, cancellation)).Step!;
    }

    /// <summary>Acts on the first such record only.</summary>
    private static Func<WireRecord, Task<IReadOnlyList<string>>> Once(LinkDirection direction, string target, Func<WireRecord, IReadOnlyList<string>> change)
    {
        var done = 0;
        return record => Task.FromResult(record.Direction == direction && record.Target == target && Interlocked.Exchange(ref done, 1) == 0 ? change(record) : [record.Text]);
    }

    /// <summary>Another sign in the middle of what is signed.</summary>
    private static string ChangeSigned(WireRecord record)
    {
        var message = record.Json;
        var signed = message["arguments"]![0]!["signed"]!.GetValue<string>();
        var at = signed.IndexOf('.', StringComparison.Ordinal) + 20;
        message["arguments"]![0]!["signed"] = string.Create(CultureInfo.InvariantCulture, $"{signed[..at]}{(signed[at] == 'A' ? 'B' : 'A')}{signed[(at + 1)..]}");
        return message.ToJsonString();
    }

    /// <summary>The same call under another number, as a caller that asks again makes it.</summary>
    private static string Again(WireRecord record)
    {
        var message = record.Json;
        message["invocationId"] = "again";
        return message.ToJsonString();
    }

    private sealed record Before(int Epoch, CommandId Used);
}
