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
    private KitInCare _care = null!;

    public async ValueTask InitializeAsync()
    {
        _care = await KitInCare.Start();
        await _care.Kit.Connect(gear: KitSamples.Gear(KitInCare.Today.AddDays(-14)));
    }

    public ValueTask DisposeAsync() => _care.DisposeAsync();

    [Fact]
    public async Task BaselineAndCheckAreTakenFromTheSessionsTheyWereMeasuredIn()
    {
        var first = await Measured("E1", 5);
        Assert.Null((await Ask(new RecordBaseline("E1", []) { From = first })).Refusal);

        var second = await Measured("E1", 20);
        Assert.Null((await Ask(new RecordKnownEar("E1", []) { From = second })).Refusal);

        var view = (await _care.Clinician.WatchKit(KitInCare.KitId)).View!;
        Assert.Equal(KnownEarRules.NeededHz.Count * 2, view.KnownEar.Baselines[0].Levels.Count);
        Assert.Equal(KnownEarVerdict.ExhaustiveNeeded, view.KnownEar.Checks[0].Verdict);
        Assert.All(view.KnownEar.Checks[0].Shifts, shift => Assert.Equal(15, shift.ShiftDb));
        Assert.Equal([second, first], view.KnownEar.Sessions.Select(session => session.SessionId));
        Assert.Contains(view.Timeline, entry => entry.Text.Contains($"from session {second}", StringComparison.Ordinal));
    }

    [Fact]
    public async Task AKitThatAFailedCheckHoldsStillLetsAKnownEarThroughAndNobodyElse()
    {
        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordBaseline("E1", KitSamples.Levels(5)));
        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordBaseline("E2", KitSamples.Levels(5)));
        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordKnownEar("E1", KitSamples.Levels(20)));

        var second = await Measured("E2", 5);
        Assert.Null((await Ask(new RecordKnownEar("E2", []) { From = second })).Refusal);
        Assert.DoesNotContain((await _care.Clinician.WatchKit(KitInCare.KitId)).View!.HoldList, hold => hold.ForbidsTesting);

        await _care.Coordinator.MustKit(KitInCare.KitId, new RecordKnownEar("E1", KitSamples.Levels(20)));
        await _care.Clinician.Watch(await _care.Hub.Session(_care.ClinicianId));
        await Walk.ToPassedKitCheck(_care.Clinician, _care.Kit);
        Assert.Equal(RefusalCodes.GateNotMet, (await _care.Clinician.Ask(new Advance())).Refusal!.Code);
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

        // Its gear, and what the session itself said: in use, sides proven, set down.
        Assert.Equal(4, (await _care.Clinician.WatchKit(KitInCare.KitId)).View!.Version);
    }

    [Fact]
    public async Task ThoseWhoMayNotSeeSessionsNeitherSeeThemListedNorTakeFromThem()
    {
        var session = await Measured("E1", 5);

        Assert.NotNull((await Ask(new RecordBaseline("E1", []) { From = session }, _care.Coordinator)).Refusal);
        Assert.Empty((await _care.Coordinator.WatchKit(KitInCare.KitId)).View!.KnownEar.Sessions);
    }

    private Task<Receipt> Ask(KitCommand command, TestConsole? by = null) => (by ?? _care.Clinician).SendKit(TestConsole.KitEnvelope(KitInCare.KitId, command));

    private async Task<SessionId> Measured(string code, double levelDbHl, bool left = true)
    {
        var session = await _care.Hub.Session(_care.ClinicianId, reference: code);
        await using var clinician = await _care.Hub.Console(_care.ClinicianId);
        await clinician.Watch(session);
        await Walk.ToTesting(clinician, _care.Kit);
        foreach (var ear in left ? new[] { Ear.Right, Ear.Left } : [Ear.Right])
        {
            await clinician.Must(new OrderStep(new SearchEarStep(ear, KnownEarRules.NeededHz, StoppingRule.TwoOfThree, ToneShape.Steady), false));
            var order = await _care.Kit.NextOrder();
            await _care.Kit.Report(session, [new StepStarted(order.StepId), .. KnownEarRules.NeededHz.Select(hertz => new ThresholdFound(Samples.Threshold(order.StepId, ear, hertz, levelDbHl))), new StepEnded(order.StepId, StepEnding.Completed, null, null, null)]);
        }

        await clinician.Until(view => view.Thresholds.Count == KnownEarRules.NeededHz.Count * (left ? 2 : 1) && !(view.Step is { Ending: null }));
        await clinician.Must(new Abort("The known ear is measured."));
        return session;
    }
}
