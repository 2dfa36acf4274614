using System.Security.Cryptography;
using Microsoft.Extensions.Logging.Abstractions;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Link;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Link;

public sealed class HubLinkTests
{
    private static PresentToneStep Tone(double level = 40) => new(Ear.Right, 1000, level, ToneShape.Pulsed, 1000);

    [Fact]
    public async Task AnOrderedToneIsPlayedHeardAndReportedInOrder()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);

        var order = hub.Order(Tone());
        await hub.CarryAsync(order);
        var ended = await hub.EndOfAsync(order.StepId);

        Assert.Equal(StepEnding.Completed, ended.Ending);
        Assert.Equal(TrialVerdict.Heard, hub.All<TrialDone>().Single().Trial.Verdict);
        Assert.Equal([typeof(StepStarted), typeof(TrialDone), typeof(StepEnded)], hub.Held.Select(entry => entry.Report.GetType()).Where(type => type != typeof(AssistantDone)));
        Assert.Equal(Enumerable.Range(1, hub.Held.Count).Select(number => (long)number), hub.Held.Select(entry => entry.Sequence));
    }

    [Fact]
    public async Task AnOrderFromBeforeAChangeOfHandsIsRefusedAlsoWhenItIsTheFirstToArriveAndARunningOneEnds()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address, Pace.Realtime));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);

        var running = hub.Order(new SearchEarStep(Ear.Left, [1000, 4000], StoppingRule.TwoOfThree, ToneShape.Pulsed));
        await hub.CarryAsync(running);
        await hub.UntilAsync(h => h.Held.Any(entry => entry.Report is StepStarted));
        await hub.ShowAsync(hub.Scene with { ControlEpoch = 2, LedBefore = "Maren Toft", ClinicianName = "Ivo Lindqvist" });
        Assert.Equal(StepEnding.Cut, (await hub.EndOfAsync(running.StepId)).Ending);

        var late = hub.Order(Tone(), number: 2);
        await hub.CarryAsync(late);
        var ended = await hub.EndOfAsync(late.StepId);
        Assert.Equal((StepEnding.Refused, RefusalCodes.OldEpoch), (ended.Ending, ended.Code));

        var other = hub.Order(Tone(), number: 3) with { SessionId = SessionId.New(), ControlEpoch = 2 };
        await hub.CarryAsync(other);
        Assert.Equal(RefusalCodes.OtherSession, (await hub.EndOfAsync(other.StepId)).Code);

        var fresh = hub.Order(Tone(), number: 2) with { ControlEpoch = 2 };
        await hub.CarryAsync(fresh);
        Assert.Equal(StepEnding.Completed, (await hub.EndOfAsync(fresh.StepId)).Ending);
    }

    [Fact]
    public async Task ASearchOfAnEarReportsEachThresholdNearTheListenersOwn()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);

        var order = hub.Order(new SearchEarStep(Ear.Left, [1000, 4000], StoppingRule.TwoOfThree, ToneShape.Pulsed));
        await hub.CarryAsync(order);
        var ended = await hub.EndOfAsync(order.StepId);

        Assert.Equal(StepEnding.Completed, ended.Ending);
        var found = hub.All<ThresholdFound>().Select(report => report.Threshold).ToList();
        Assert.Equal([1000, 4000], found.Select(threshold => threshold.FrequencyHz));
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(found[0].Outcome).LevelDbHl, 20, 30);
        Assert.InRange(Assert.IsType<ThresholdOutcome.Established>(found[1].Outcome).LevelDbHl, 45, 55);
        Assert.All(found, threshold => Assert.All(threshold.Trials, trial => Assert.NotEmpty(trial.Noise)));
    }

    [Theory]
    [InlineData(1, 0)]
    [InlineData(0, 1)]
    [InlineData(2, 2)]
    public async Task AReportLostWithItsConnectionOrWhoseAcknowledgementWasLostIsHeldOnce(int reportsLost, int acksLost)
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        (hub.ReportsToLose, hub.AcksToLose) = (reportsLost, acksLost);
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);
        var order = hub.Order(new CheckKitStep());
        await hub.CarryAsync(order);

        await hub.EndOfAsync(order.StepId);

        await hub.UntilAsync(h => h.Hellos.Count >= 2);
        Assert.Equal(Enumerable.Range(1, hub.Held.Count).Select(number => (long)number), hub.Held.Select(entry => entry.Sequence));
        Assert.Single(hub.All<StepEnded>(), ended => ended.StepId == order.StepId);
    }

    [Fact]
    public async Task AnOrderThatComesTwiceIsCarriedOutOnce()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);
        var order = hub.Order(Tone());
        var last = hub.Order(new CheckKitStep(), number: 2);

        await hub.CarryAsync(order);
        await hub.CarryAsync(order);
        await hub.CarryAsync(last);
        await hub.EndOfAsync(last.StepId);

        Assert.Single(hub.All<StepStarted>(), started => started.StepId == order.StepId);
        Assert.Equal(StepEnding.Completed, Assert.Single(hub.All<StepEnded>(), ended => ended.StepId == order.StepId).Ending);
    }

    [Fact]
    public async Task OrdersOutOfPlaceTimeEpochOrCeilingAreRefusedWithTheirCodeAndPlayNothing()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);
        var first = hub.Order(new CheckKitStep(), number: 10) with { ControlEpoch = 4 };
        await hub.CarryAsync(first);
        await hub.EndOfAsync(first.StepId);

        async Task RefusedAsync(string code, StepOrder order)
        {
            await hub.CarryAsync(order);
            var ended = await hub.EndOfAsync(order.StepId);
            Assert.Equal((StepEnding.Refused, code), (ended.Ending, ended.Code));
            Assert.False(string.IsNullOrWhiteSpace(ended.Reason));
        }

        var good = hub.Order(Tone(), number: 20) with { ControlEpoch = 4 };
        await RefusedAsync(RefusalCodes.Duplicate, good with { StepId = StepId.New(), OrderNumber = 10 });
        await RefusedAsync(RefusalCodes.OutOfOrder, good with { StepId = StepId.New(), OrderNumber = 9 });
        await RefusedAsync(RefusalCodes.OldEpoch, good with { StepId = StepId.New(), ControlEpoch = 3 });
        await RefusedAsync(RefusalCodes.Expired, good with { StepId = StepId.New(), OrderNumber = 11, ExpiresAtHubMs = hub.NowMs - 500 });
        await RefusedAsync(RefusalCodes.OverCeiling, good with { StepId = StepId.New(), OrderNumber = 12, MaximumLevelDbHl = 35 });
        await RefusedAsync(RefusalCodes.RiseTooSteep, good with { StepId = StepId.New(), OrderNumber = 13, Request = Tone(95) });
        await RefusedAsync(RefusalCodes.Invalid, good with { StepId = StepId.New(), OrderNumber = 14, Request = Tone(double.NaN) });
        await RefusedAsync(RefusalCodes.BelowRoomBound, good with { StepId = StepId.New(), OrderNumber = 15, LowestProvable = [new(1000, 45, true, 1000)] });

        Assert.DoesNotContain(hub.All<StepStarted>(), started => started.StepId != first.StepId);
        Assert.All(Played(agent), sample => Assert.Equal(0f, sample));
    }

    [Fact]
    public async Task TheKitTellsItsGearWithHello()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await Wait.UntilAsync(() => !hub.Hellos.IsEmpty);

        var gear = hub.Hellos.First().Gear!;

        Assert.Equal((Provisioner.Kit.UnitSerial, Provisioner.Kit.TransducerSerial), (gear.UnitSerial, gear.TransducerSerial));
        Assert.Equal("SIM-CERT-0001", gear.Calibration!.CertificateId);
        Assert.Equal(22, gear.Calibration.Entries.Count);
    }

    [Theory]
    [InlineData("Expired", RefusalCodes.CertificateExpired)]
    [InlineData("Missing", RefusalCodes.CertificateMissing)]
    public async Task WithoutAValidCertificateTheKitIsSilentAndItsCheckSaysWhy(string certificate, string code)
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address, certificate: Enum.Parse<CertificateChoice>(certificate)));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);
        var (check, tone) = (hub.Order(new CheckKitStep(), 1), hub.Order(Tone(), 2));

        await hub.CarryAsync(check);
        await hub.CarryAsync(tone);
        var result = Assert.IsType<KitCheckResult>((await hub.EndOfAsync(check.StepId)).Result);

        Assert.False(result.Passed);
        Assert.False(result.Lines.Single(line => line.Code == "certificate").Passed);
        Assert.Equal(code, (await hub.EndOfAsync(tone.StepId)).Code);
    }

    [Fact]
    public async Task AReportTheHubWillNeverTakeIsPassedOver()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        hub.Refuses = entry => entry.Report is StepStarted ? new Refusal(RefusalCodes.SessionOver, "The session is over.") : null;
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);
        var order = hub.Order(new CheckKitStep());

        await hub.CarryAsync(order);

        Assert.Equal(StepEnding.Completed, (await hub.EndOfAsync(order.StepId)).Ending);
        Assert.Empty(hub.All<StepStarted>());
    }

    [Fact]
    public async Task AReportTheHubMissesOneBeforeIsNotPassedOver()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        hub.SaysOneIsMissing = 1;
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);
        var order = hub.Order(new CheckKitStep());

        await hub.CarryAsync(order);

        await hub.EndOfAsync(order.StepId);
        Assert.Contains(hub.All<StepStarted>(), started => started.StepId == order.StepId);
        Assert.True(hub.Hellos.Count >= 2);
    }

    [Fact]
    public async Task EveryConnectionShowsATokenWithAFreshProofAndOneAssertionServesManyOfThem()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        hub.AcksToLose = 1;
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);
        await hub.CarryAsync(hub.Order(new CheckKitStep()));
        await hub.UntilAsync(h => h.Proofs.Count >= 2);

        using var key = ECDsa.Create();
        key.ImportFromPem(await File.ReadAllTextAsync(folder.Inside("kit-key.pem"), TestContext.Current.CancellationToken));
        var assertion = KitJws.Open<KitAssertion>(key, KitJws.Assertion, Assert.Single(hub.Assertions))!;
        var (first, second) = (hub.Proofs.First(), hub.Proofs.Skip(1).First());
        var proofs = new[] { first, second }.Select(shown => KitJws.Open<KitProof>(key, KitJws.Proof, shown.Proof)!).ToList();

        Assert.Equal((hub.KitId.Value, hub.KitId.Value, Protocol.KitAudience), (assertion.Iss, assertion.Sub, assertion.Aud));
        Assert.InRange(assertion.Exp - assertion.Iat, 1, 60);
        Assert.Equal(first.Token, second.Token);
        Assert.NotEqual(proofs[0].Jti, proofs[1].Jti);
        Assert.All(proofs, proof => Assert.Equal(("GET", new Uri(hub.Address, Protocol.KitHubPath).ToString(), KitProof.HashOf(first.Token)), (proof.Htm, proof.Htu, proof.Ath)));
        if (!OperatingSystem.IsWindows())
        {
            Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(folder.Inside("kit-key.pem")));
        }
    }

    [Fact]
    public async Task AnOrderThatIsNotSignedForThisKitThisKeyAndThisLinkIsNotCarriedOut()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);
        using var stranger = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        KitOrder Fresh(long number) => hub.BoundTo(hub.Order(new CheckKitStep(), number));
        var parts = hub.Sign(Fresh(1)).Signed.Split('.');

        SignedOrder[] refused =
        [
            hub.Sign(Fresh(1), key: stranger),
            hub.Sign(Fresh(1) with { KitId = new KitId("kit-of-another-site") }),
            hub.Sign(Fresh(1) with { Key = KitThumbprint.Of(stranger) }),
            hub.Sign(Fresh(1) with { Link = "an older link" }),
            hub.Sign(Fresh(1), KitJws.Welcome),
            new SignedOrder($"{parts[0]}.{hub.Sign(Fresh(9)).Signed.Split('.')[1]}.{parts[2]}"),
            new SignedOrder(string.Empty),
            new SignedOrder(null!),
        ];
        foreach (var order in refused)
        {
            await hub.CarrySignedAsync(order);
        }

        // What follows on the same link is carried out, so the ones before it were seen and let fall.
        var own = hub.Order(new CheckKitStep());
        await hub.CarryAsync(own);
        await hub.EndOfAsync(own.StepId);
        Assert.Equal([own.StepId], hub.All<StepStarted>().Select(started => started.StepId));
        Assert.Single(hub.All<StepEnded>());
    }

    [Fact]
    public async Task AKitThatIsGivenNoTokenSaysWhyAndConnectsToNothing()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        hub.TokenFault = new KitTokenFault("invalid_grant", "The clock of this kit is 7 minutes behind the clinic's.", RefusalCodes.KitClock);

        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));

        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Link == LinkState.Refused);
        Assert.Contains("7 minutes behind", agent.Get<KitScreenState>().Now.LinkSentence, StringComparison.Ordinal);
        Assert.Empty(hub.Hellos);
    }

    [Fact]
    public async Task AJournalSealedForAnotherHubIsLaidAsideAndTheKitServesTheNewOne()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        var options = RunningAgent.OptionsFor(folder, hub.Address);
        hub.Refuses = _ => new Refusal(RefusalCodes.SessionUnknown, "Not now.");
        using (var journal = KitJournal.Load(folder.Path, new DurableFiles(), NullLogger<KitJournal>.Instance))
        {
            journal.Unlock(RandomNumberGenerator.GetBytes(32));
            journal.Append(hub.Session, 1, new HelpCalled());
        }

        hub.Refuses = _ => null;
        await using var agent = await RunningAgent.StartAsync(options);
        await hub.UntilAsync(h => h.Hellos.Count >= 2);
        var order = hub.Order(new CheckKitStep());
        await hub.CarryAsync(order);
        await hub.EndOfAsync(order.StepId);

        var hellos = hub.Hellos.ToList();
        Assert.NotEqual(hellos[0].JournalId, hellos[1].JournalId);
        Assert.Single(Directory.GetFiles(folder.Path, "set-aside-*.bin"));
        Assert.Empty(hub.All<HelpCalled>());
    }

    [Fact]
    public async Task AHubPutBackToAnOlderStateGetsWhatIsStillToBeSentAndWhatComesNext()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var proxy = new TcpProxy(hub.Port);
        var options = RunningAgent.OptionsFor(folder, new Uri($"http://127.0.0.1:{proxy.Port}/"));
        await using (var agent = await RunningAgent.StartAsync(options))
        {
            await hub.UntilAsync(h => !h.Hellos.IsEmpty);
            var first = hub.Order(new CheckKitStep());
            await hub.CarryAsync(first);
            await hub.EndOfAsync(first.StepId);
            await Wait.UntilAsync(() => agent.Get<KitJournal>().Pending(1).Count == 0);

            proxy.Reset();
            hub.ForgetReports();
            agent.Get<KitActions>().CallForHelp();
            proxy.Restore();
            await hub.UntilAsync(h => h.All<HelpCalled>().Count == 1);
        }

        // the new journal opens with its own key after a restart too
        await using var again = await RunningAgent.StartAsync(options with { RecordPath = null });
        await Wait.UntilAsync(() => again.Get<KitScreenState>().Now.Link == LinkState.Linked);
        var next = hub.Order(new CheckKitStep(), number: 2);
        await hub.CarryAsync(next);

        Assert.Equal(StepEnding.Completed, (await hub.EndOfAsync(next.StepId)).Ending);
        Assert.Equal(2, hub.Hellos.Select(hello => hello.JournalId).Distinct().Count());
        Assert.Single(hub.All<HelpCalled>());
    }

    [Fact]
    public async Task ARefusedKitShowsTheHubsSentence()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        hub.HelloRefusal = new Refusal(RefusalCodes.ProtocolVersion, "This kit's program is too old.");
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        var screen = agent.Get<KitScreenState>();

        await Wait.UntilAsync(() => screen.Now.Link == LinkState.Refused);

        Assert.Equal("This kit's program is too old.", screen.Now.LinkSentence);
    }

    [Fact]
    public async Task ARevokedKitForgetsItsKeyAndIsSilent()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Link == LinkState.Linked);
        hub.HelloRefusal = new Refusal(RefusalCodes.KitRevoked, "This kit is revoked.");

        await hub.RevokeAsync("reported lost");

        await Wait.UntilAsync(() => !agent.Get<KitJournal>().IsOpen);
        Assert.False(agent.Get<LeaseClock>().IsValid);
        Assert.Empty(agent.Get<KitJournal>().Pending(10));
    }

    private static float[] Played(RunningAgent agent) => WaveFile.ReadMono(agent.Options.RecordPath!);
}
