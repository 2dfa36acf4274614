using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits;

/// <summary>A known ear is measured in a session like anybody, and the hub takes the thresholds from there.</summary>
public sealed class KnownEarSessionTests : IAsyncLifetime
{
    private static readonly KitId _kitId = new("kit-01");
    private static readonly DateOnly _today = DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date);

    private RunningHub _hub = null!;
    private TestConsole _coordinator = null!;
    private TestConsole _clinician = null!;
    private TestKit _kit = null!;
    private string _clinicianId = null!;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        _clinicianId = await _hub.Person("Maren Toft", Roles.Clinician);
        _kit = await _hub.Kit();
        _coordinator = await _hub.Console(await _hub.Person("Pella Nyström", Roles.Coordinator));
        _clinician = await _hub.Console(_clinicianId);
        await _kit.Connect(gear: KitSamples.Gear(_today.AddDays(-14)));
    }

    public async ValueTask DisposeAsync()
    {
        await _coordinator.DisposeAsync();
        await _clinician.DisposeAsync();
        await _kit.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task BaselineAndCheckAreTakenFromTheSessionsTheyWereMeasuredIn()
    {
        var first = await Measured("E1", 5);
        Assert.Null((await Ask(new RecordBaseline("E1", []) { From = first })).Refusal);

        var second = await Measured("E1", 20);
        Assert.Null((await Ask(new RecordKnownEar("E1", []) { From = second })).Refusal);

        var view = (await _clinician.WatchKit(_kitId)).View!;
        Assert.Equal(KnownEarRules.NeededHz.Count * 2, view.KnownEar.Baselines[0].Levels.Count);
        Assert.Equal(KnownEarVerdict.ExhaustiveNeeded, view.KnownEar.Checks[0].Verdict);
        Assert.All(view.KnownEar.Checks[0].Shifts, shift => Assert.Equal(15, shift.ShiftDb));
        Assert.Equal([second, first], view.KnownEar.Sessions.Select(session => session.SessionId));
        Assert.Contains(view.Timeline, entry => entry.Text.Contains($"from session {second}", StringComparison.Ordinal));
    }

    [Fact]
    public async Task AKitThatAFailedCheckHoldsStillLetsAKnownEarThroughAndNobodyElse()
    {
        await _coordinator.MustKit(_kitId, new RecordBaseline("E1", KitSamples.Levels(5)));
        await _coordinator.MustKit(_kitId, new RecordBaseline("E2", KitSamples.Levels(5)));
        await _coordinator.MustKit(_kitId, new RecordKnownEar("E1", KitSamples.Levels(20)));

        var second = await Measured("E2", 5);
        Assert.Null((await Ask(new RecordKnownEar("E2", []) { From = second })).Refusal);
        Assert.Empty((await _clinician.WatchKit(_kitId)).View!.Holds);

        await _coordinator.MustKit(_kitId, new RecordKnownEar("E1", KitSamples.Levels(20)));
        await _clinician.Watch(await _hub.Session(_clinicianId));
        await Walk.ToPassedKitCheck(_clinician, _kit);
        Assert.Equal(RefusalCodes.GateNotMet, (await _clinician.Ask(new Advance())).Refusal!.Code);
    }

    [Fact]
    public async Task ASessionThatCannotServeIsRefusedInWordsAndNothingIsKept()
    {
        var session = await Measured("E1", 5, left: false);

        var incomplete = (await Ask(new RecordBaseline("E1", []) { From = session })).Refusal!;
        Assert.Contains("The left ear lacks", incomplete.Sentence, StringComparison.Ordinal);
        Assert.Contains("not with this kit and E2", (await Ask(new RecordBaseline("E2", []) { From = session })).Refusal!.Sentence, StringComparison.Ordinal);
        Assert.Contains("no such session", (await Ask(new RecordBaseline("E1", []) { From = SessionId.New() })).Refusal!.Sentence, StringComparison.Ordinal);
        Assert.Contains("not both", (await Ask(new RecordBaseline("E1", KitSamples.Levels(5)) { From = session })).Refusal!.Sentence, StringComparison.Ordinal);
        Assert.Equal(1, (await _clinician.WatchKit(_kitId)).View!.Version - 1);
    }

    [Fact]
    public async Task ThoseWhoMayNotSeeSessionsNeitherSeeThemListedNorTakeFromThem()
    {
        var session = await Measured("E1", 5);

        Assert.NotNull((await Ask(new RecordBaseline("E1", []) { From = session }, _coordinator)).Refusal);
        Assert.Empty((await _coordinator.WatchKit(_kitId)).View!.KnownEar.Sessions);
    }

    private Task<Receipt> Ask(KitCommand command, TestConsole? by = null) => (by ?? _clinician).SendKit(TestConsole.KitEnvelope(_kitId, command));

    private async Task<SessionId> Measured(string code, double levelDbHl, bool left = true)
    {
        var session = await _hub.Session(_clinicianId, reference: code);
        await using var clinician = await _hub.Console(_clinicianId);
        await clinician.Watch(session);
        await Walk.ToTesting(clinician, _kit);
        foreach (var ear in left ? new[] { Ear.Right, Ear.Left } : [Ear.Right])
        {
            await clinician.Must(new OrderStep(new SearchEarStep(ear, KnownEarRules.NeededHz, StoppingRule.TwoOfThree, ToneShape.Steady), false));
            var order = await _kit.NextOrder();
            await _kit.Report(session, [new StepStarted(order.StepId), .. KnownEarRules.NeededHz.Select(hertz => new ThresholdFound(Samples.Threshold(order.StepId, ear, hertz, levelDbHl))), new StepEnded(order.StepId, StepEnding.Completed, null, null, null)]);
        }

        await clinician.Until(view => view.Thresholds.Count == KnownEarRules.NeededHz.Count * (left ? 2 : 1) && !(view.Step is { Ending: null }));
        await clinician.Must(new Abort("The known ear is measured."));
        return session;
    }
}
