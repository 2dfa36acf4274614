using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>What a count at the site or a sensor in the parcel says reaches whoever looks after the kits. Band of temperatures: IEC 60645-1:2017, clause 5.3.</summary>
public sealed class ParcelConcernTests
{
    private readonly JourneyKit _kit = new();

    private IReadOnlyList<KitTask> Tasks => KitTasks.Of(KitStandings.Of(_kit.State, _kit.Kit.Context.Others, new ClinicDay(TimeZoneInfo.Utc, _kit.Today)), _kit.Today, BoardTerms.Of(FleetState.Empty));

    [Fact]
    public void WhatTheSiteMissesIsSaidUntilItIsThere()
    {
        _kit.At(KitStage.Delivered).Must(new CheckInKit(_kit.Loan, [new("PHONES", 0), new("TIPS", 20), new("PROBE", 4)], null, EntryMeans.Reported));

        Assert.Contains(_kit.Kit.Due, due => due.Contains("The site misses something it was sent: earphones, pair (0 of 1). Ask Mill Lane 4", StringComparison.Ordinal));
        var task = Assert.Single(Tasks, task => task.What == "Ask about what is missing");
        Assert.Equal((KitTaskKind.Chase, _kit.Today), (task.Kind, task.By!.Value));

        _kit.Kit.Now = _kit.Kit.Now.AddHours(1);
        _kit.Must(new CheckInKit(_kit.Loan, JourneyKit.Full, null, EntryMeans.Reported));
        Assert.DoesNotContain(Tasks, task => task.What == "Ask about what is missing");
    }

    [Fact]
    public void WhatDidNotComeBackIsSaidAndWhatWasUsedUpIsNot()
    {
        _kit.At(KitStage.InTransitBack);
        _kit.Kit.Now = _kit.Kit.Now.AddDays(1);
        _kit.Must(new ReceiveKit("RX 5678", [new("PHONES", 1), new("TIPS", 12), new("PROBE", 3)], null, EntryMeans.Scanned));

        var due = Assert.Single(_kit.Kit.Due, due => due.Contains("did not go back into the case", StringComparison.Ordinal));
        Assert.Contains("probe tips, reusable (3 of 4)", due, StringComparison.Ordinal);
        Assert.DoesNotContain("insert tips", due, StringComparison.Ordinal);
        Assert.Equal(KitTaskKind.Settle, Assert.Single(Tasks, task => task.What == "Ask about what is missing").Kind);

        _kit.Must(new BeginCleaning(null)).Must(JourneyKit.Sign(KitStage.Cleaning, [new("TIPS", 4)]));
        _kit.Kit.Now = _kit.Kit.Now.AddDays(1);
        _kit.Must(JourneyKit.Sign(KitStage.Inspection, [new("PROBE", 3)]));
        Assert.DoesNotContain(Tasks, task => task.What == "Ask about what is missing");
    }

    [Fact]
    public void AParcelThatWasTooHotAsksForAFunctionCheck()
    {
        _kit.At(KitStage.InTransitOut);
        _kit.Kit.Now = _kit.Kit.Now.AddHours(2);
        _kit.Must(_kit.Carrier(CarrierStatus.Delivered) with { Readings = new ParcelReadings(18, 61, null) });

        Assert.Contains(_kit.Kit.Due, due => due.Contains("18 °C to 61 °C, outside 15 to 35 °C", StringComparison.Ordinal) && due.Contains("function check before it is used", StringComparison.Ordinal));
        Assert.Equal((KitTaskKind.Check, _kit.Today), Tasks.Where(task => task.Move == "record-function-check").Select(task => (task.Kind, task.By!.Value)).Single());
        Assert.Null(ParcelConcerns.Alarm(_kit.State, new ParcelLimits(ParcelLimits.TransportName, -20, 70, null)));

        _kit.Kit.Now = _kit.Kit.Now.AddHours(2);
        _kit.Must(KitSamples.Function(passed: true));
        Assert.DoesNotContain(Tasks, task => task.What == "Check it before it is used");
    }

    [Theory]
    [InlineData(15.0, 35.0, null, false)]
    [InlineData(14.9, null, null, true)]
    [InlineData(null, 35.1, null, true)]
    [InlineData(null, null, 9.0, false)]
    [InlineData(20.0, 20.0, 9.0, false)]
    public void TheLimitsAreThoseOfTheEvents(double? low, double? high, double? shock, bool alarm)
    {
        _kit.At(KitStage.InTransitOut).Must(_kit.Carrier(CarrierStatus.UnderWay) with { Readings = new ParcelReadings(low, high, shock) });

        Assert.Equal(alarm, ParcelConcerns.Alarm(_kit.State, ParcelLimits.Operating) is not null);
        Assert.Equal(alarm || shock is not null, ParcelConcerns.Alarm(_kit.State, ParcelLimits.Operating with { HighestShockG = 8 }) is not null);
    }

    [Fact]
    public void AKitThatIsGoneLeavesWorkOnTodaysList()
    {
        _kit.At(KitStage.CheckedInAtSite).Must(_kit.Promise(LoanId.New(), from: 60, days: 7)).Must(new ReportKitGone(true, "taken from the porch", true));
        var standing = KitStandings.Of(_kit.State, _kit.Kit.Context.Others, new ClinicDay(TimeZoneInfo.Utc, _kit.Today)) with { IncidentOpen = true };

        var tasks = KitTasks.Of(standing, _kit.Today, BoardTerms.Of(FleetState.Empty));

        Assert.Contains(tasks, task => task is { Kind: KitTaskKind.Settle, What: "See to its incident" } && task.By == _kit.Today);
        var promised = Assert.Single(tasks, task => task.What == "Give that loan another kit");
        Assert.Contains("It is promised for 24 January", promised.Why, StringComparison.Ordinal);
        Assert.Equal(_kit.Today, promised.By);
    }

    [Fact]
    public void NoMoreIsDiscardedThanWasInTheCaseAndTheHistorySaysHowMuch()
    {
        _kit.At(KitStage.Cleaning);

        var refusal = _kit.Refused(JourneyKit.Sign(KitStage.Cleaning, [new("TIPS", 50)]));
        Assert.Contains("50 of insert tips, pair, where there were 20", refusal.Sentence, StringComparison.Ordinal);

        _kit.Must(JourneyKit.Sign(KitStage.Cleaning, [new("TIPS", 4)]));
        Assert.Contains("discarded: TIPS 4", _kit.Kit.View.Timeline[0].Text, StringComparison.Ordinal);
        Assert.Equal(16, _kit.State.InCase["TIPS"]);
    }
}
