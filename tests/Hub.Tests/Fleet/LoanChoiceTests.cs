using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>What is said of kits that would do but are not at hand: overdue ones, and those a planned session needs first.</summary>
public sealed class LoanChoiceTests
{
    private static readonly DateOnly _session = new(2026, 3, 18);

    private readonly PureFleet _fleet = new();

    [Fact]
    public void AKitThatIsOverdueIsOfferedLastAndSaysSo()
    {
        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 11, 9, 0, 0, TimeSpan.Zero);
        _fleet.Sent(_session);
        _fleet.Hardware.Now = new DateTimeOffset(2026, 4, 2, 9, 0, 0, TimeSpan.Zero);
        var other = _fleet.KitNow with { KitId = new KitId("kit-02"), Overdue = null, CalibratedUntil = _fleet.KitNow.CalibratedUntil!.Value.AddDays(30) };
        var request = PureFleet.Request(new DateOnly(2026, 5, 20));

        var choices = Choices(request, _fleet.Context with { Kits = [_fleet.KitNow, other] });

        Assert.Equal([other.KitId, PureFleet.Kit], choices.Select(choice => choice.KitId));
        Assert.All(choices, choice => Assert.True(choice.Fits));
        Assert.DoesNotContain(choices[0].Reasons, Overdue);
        Assert.Equal("Overdue, still at Mill Lane 4: nobody knows when it comes back.", choices[1].Reasons[0]);

        static bool Overdue(string reason) => reason.Contains("verdue", StringComparison.Ordinal);
    }

    [Fact]
    public void WhereAKitIsReadsInTheListOfKitsAsOnTheBoard()
    {
        Assert.Equal("shelf", _fleet.KitNow.Where);
        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 11, 9, 0, 0, TimeSpan.Zero);
        var loan = _fleet.Sent(_session);

        Assert.Equal(("with the carrier, to Mill Lane 4", "with the carrier, to Mill Lane 4"), (_fleet.KitNow.Where, OnBoard()));

        Assert.Null(_fleet.AskKit(new CheckInKit(loan, [], null, EntryMeans.Typed)));
        Assert.Equal(("Mill Lane 4", "Mill Lane 4"), (_fleet.KitNow.Where, OnBoard()));

        string? OnBoard() => KitWay.Where(KitStandings.Of(_fleet.Hardware.State, [_fleet.Hardware.State], ClinicDay.Of(_fleet.State, _fleet.Hardware.Now)));
    }

    [Fact]
    public void AKitWithASessionBeforeItIsFreeAgainSaysSo()
    {
        _fleet.Session(new DateTimeOffset(2026, 3, 2, 13, 30, 0, TimeSpan.Zero));
        var own = _fleet.Session(new DateTimeOffset(2026, 3, 18, 14, 0, 0, TimeSpan.Zero));
        _fleet.Session(new DateTimeOffset(2026, 4, 18, 14, 0, 0, TimeSpan.Zero));
        var request = PureFleet.Request(_session) with { Sessions = [own.SessionId] };

        var reason = Assert.Single(Assert.Single(Choices(request, _fleet.Context)).Reasons, reason => reason.Contains("It has a session", StringComparison.Ordinal));

        Assert.Equal("It has a session today at 13:30 at \"at home, kit posted\". See that it is there for it.", reason);
    }

    [Fact]
    public void AKitIsNotHandedOverWhileASessionOfAnotherPlaceNeedsItFirst()
    {
        var own = _fleet.Session(new DateTimeOffset(2026, 3, 18, 14, 0, 0, TimeSpan.Zero));
        var request = PureFleet.Request() with { Sessions = [own.SessionId] };
        Assert.Null(_fleet.Ask(request));
        Assert.Null(_fleet.Ask(new PlaceLoan(request.LoanId, PureFleet.Kit)));
        var send = new SendKit(request.LoanId, "T-1", _fleet.Hardware.Today, EntryMeans.Typed);
        Assert.Null(WhyNot());

        var today = _fleet.Session(new DateTimeOffset(2026, 3, 2, 13, 30, 0, TimeSpan.Zero));

        var refusal = WhyNot();
        Assert.Equal(RefusalCodes.LoanOverlaps, refusal!.Code);
        Assert.Equal("The kit has a session today at 13:30 at \"at home, kit posted\", and leaves for this loan on 11 March 2026 only.", refusal.Sentence);
        _fleet.Sessions.Remove(today);
        Assert.Null(WhyNot());

        Refusal? WhyNot() => HandOver.WhyNot(_fleet.Hardware.State, send, _fleet.State, _fleet.Sessions, ClinicDay.Of(_fleet.State, _fleet.Hardware.Now));
    }

    [Fact]
    public void ASessionAheadIsNotInThePastBecauseTheClinicHasTomorrowAlready()
    {
        // 02:24 UTC on the 3rd is 22:24 on the 2nd in Halifax, UTC-4 until the 8th.
        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 3, 2, 24, 0, TimeSpan.Zero);
        var near = _fleet.Session(_fleet.Hardware.Now.AddMinutes(38));

        var refusal = _fleet.Ask(PureFleet.Request() with { Sessions = [near.SessionId] })!;

        Assert.Contains("would have to leave on", refusal.Sentence, StringComparison.Ordinal);
        Assert.Contains("serves a session on", refusal.Remedy, StringComparison.Ordinal);
        var past = _fleet.Ask(PureFleet.Request(new DateOnly(2026, 3, 1)));
        Assert.Equal("1 March 2026 is in the past.", past!.Sentence);
        Assert.Contains("serves a session on", past.Remedy, StringComparison.Ordinal);
    }

    private static IReadOnlyList<LoanChoice> Choices(RequestLoan request, FleetContext context) =>
        LoanChoices.Of(request, LoanBooking.Dates(FleetState.Empty, request).Booking!, context with { AskKit = (_, _) => new KitDecision([], null) });
}
