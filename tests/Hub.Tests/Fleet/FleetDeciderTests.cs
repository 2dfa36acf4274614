using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>Loans from request to return, decided on facts alone.</summary>
public sealed class FleetDeciderTests
{
    private static readonly DateOnly _session = new(2026, 3, 18);

    private readonly PureFleet _fleet = new();

    [Fact]
    public void TheWorkedCaseOfTheHandbookIsPromisedWithItsDates()
    {
        // Practice reference, section 7: session Wed 2026-03-18, ship Wed 11, arrive Mon 16, back Tue 24, bookable Fri 27, cycle 16 days (example input).
        _fleet.Placed(_session);

        var loan = Assert.Single(_fleet.View.Loans);
        Assert.Equal(LoanStanding.Promised, loan.Standing);
        Assert.Equal(
            (new DateOnly(2026, 3, 11), new DateOnly(2026, 3, 16), new DateOnly(2026, 3, 24), new DateOnly(2026, 3, 27), 16),
            (loan.Booking!.ShipBy, loan.Booking.Arrives, loan.Booking.DueBack, loan.Booking.BookableFrom, loan.Booking.CycleDays));
        Assert.Equal(KitStage.Reserved, _fleet.Hardware.State.Stage);
        Assert.Null(loan.Doubt);
    }

    [Fact]
    public void TheDayOfASessionIsTheDayAtTheSiteAcrossAClockChange()
    {
        // 2026-03-08 is the change in North America: 01:30 UTC on the 19th is still the 18th in Halifax, UTC-3 since then.
        var session = _fleet.Session(new DateTimeOffset(2026, 3, 19, 1, 30, 0, TimeSpan.Zero));

        Assert.Null(_fleet.Ask(PureFleet.Request() with { Sessions = [session.SessionId] }));

        Assert.Equal([_session], Assert.Single(_fleet.View.Loans).Request.SessionDays);
        Assert.NotNull(Assert.Single(_fleet.View.Sessions).LoanId);
    }

    public static TheoryData<RequestLoan, string, string> Bad => new()
    {
        { PureFleet.Request(new DateOnly(2026, 3, 1)), RefusalCodes.LoanDates, "in the past" },
        { PureFleet.Request(new DateOnly(2026, 3, 4)), RefusalCodes.LoanDates, "would have to leave on" },
        { PureFleet.Request(), RefusalCodes.LoanDates, "No session and no day" },
        { PureFleet.Request(_session) with { Zone = "America/Nowhere" }, RefusalCodes.LoanDates, "no time zone" },
        { PureFleet.Request(_session) with { Region = "south" }, RefusalCodes.RegionUnknown, "no calendar \"south\"" },
        { PureFleet.Request() with { Sessions = [SessionId.New()] }, RefusalCodes.SessionUnknown, "not planned any more" },
    };

    [Theory]
    [MemberData(nameof(Bad))]
    public void WhatCannotBeLentIsRefusedInWords(RequestLoan request, string code, string words)
    {
        var refusal = _fleet.Ask(request);

        Assert.Equal(code, refusal!.Code);
        Assert.Contains(words, refusal.Sentence, StringComparison.Ordinal);
        Assert.NotNull(refusal.Remedy);
        Assert.Empty(_fleet.View.Loans);
    }

    [Fact]
    public void ASessionIsServedByOneLoanOnly()
    {
        var session = _fleet.Session(new DateTimeOffset(2026, 3, 18, 14, 0, 0, TimeSpan.Zero));
        var first = PureFleet.Request() with { Sessions = [session.SessionId] };
        Assert.Null(_fleet.Ask(first));

        Assert.Equal(RefusalCodes.LoanStanding, _fleet.Ask(PureFleet.Request() with { Sessions = [session.SessionId] })!.Code);

        Assert.Null(_fleet.Ask(new WithdrawLoan(first.LoanId, "another way")));
        Assert.Null(_fleet.Ask(PureFleet.Request() with { Sessions = [session.SessionId] }));
    }

    [Theory]
    [InlineData("called-off", LoanStanding.Withdrawn)]
    [InlineData("lost", LoanStanding.Gone)]
    [InlineData("stolen", LoanStanding.Gone)]
    [InlineData("received", LoanStanding.Back)]
    public void ASessionWhoseLoanItsKitHasEndedMayBeServedByAnother(string ended, LoanStanding standing)
    {
        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 11, 9, 0, 0, TimeSpan.Zero);
        var (near, far) = (_fleet.Session(new DateTimeOffset(2026, 3, 18, 14, 0, 0, TimeSpan.Zero)), _fleet.Session(new DateTimeOffset(2026, 4, 1, 14, 0, 0, TimeSpan.Zero)));
        var first = PureFleet.Request() with { Sessions = [near.SessionId, far.SessionId] };
        Assert.Null(_fleet.Ask(first));
        Assert.Null(_fleet.Ask(new PlaceLoan(first.LoanId, PureFleet.Kit)));
        foreach (var command in Ended(first.LoanId, ended))
        {
            Assert.Null(_fleet.AskKit(command));
        }

        var version = _fleet.Hardware.State.Version;
        Assert.Equal(standing, Assert.Single(_fleet.View.Past).Standing);
        Assert.All(_fleet.View.Sessions, session => Assert.Null(session.LoanId));

        var second = PureFleet.Request() with { Sessions = [far.SessionId] };
        Assert.Null(_fleet.Ask(second));

        Assert.Equal(second.LoanId, _fleet.View.Sessions.Single(session => session.SessionId == far.SessionId).LoanId);

        // Withdrawing what is over says so in the fleet's own facts and asks nothing of the kit.
        Assert.Null(_fleet.Ask(new WithdrawLoan(first.LoanId, "another kit goes")));
        Assert.Equal((version, "another kit goes"), (_fleet.Hardware.State.Version, Assert.Single(_fleet.View.Past).WithdrawnBecause));
        Assert.Equal(standing, Assert.Single(_fleet.View.Past).Standing);
        Assert.Equal(RefusalCodes.LoanStanding, _fleet.Ask(PureFleet.Request() with { Sessions = [far.SessionId] })!.Code);
    }

    private static IReadOnlyList<KitCommand> Ended(LoanId loan, string how)
    {
        KitCommand[] sent = [new SignLoanPaper(loan, "R. Hale"), new PackKit(loan, [], null, null), new SendKit(loan, "T-1", new DateOnly(2026, 3, 11), EntryMeans.Typed)];
        return how switch
        {
            "called-off" => [new CallOffLoan(loan, "the ferry does not go")],
            "received" => [.. sent, new ReceiveKit("T-2", [], null, EntryMeans.Typed)],
            _ => [.. sent, new ReportKitGone(how == "stolen", "Not found in the van.", MayHoldData: false)],
        };
    }

    [Fact]
    public void OverlappingLoansOfOneKitAreRefusedAndSaidBeforehand()
    {
        _fleet.Placed(_session);
        var second = PureFleet.Request(_session.AddDays(7));
        Assert.Null(_fleet.Ask(second));

        var choice = Assert.Single(LoanChoices.Of(second, LoanBooking.Dates(_fleet.State, second).Booking!, _fleet.Context));

        Assert.False(choice.Fits);
        Assert.Contains(choice.Reasons, reason => reason.Contains("Another loan needs the kit", StringComparison.Ordinal));
        Assert.NotNull(_fleet.Ask(new PlaceLoan(second.LoanId, PureFleet.Kit)));
        Assert.Single(_fleet.Hardware.State.Loans);
    }

    [Fact]
    public void AKitWithoutWhatIsNeededDoesNotDo()
    {
        var request = PureFleet.Request(_session) with { Needs = [TransducerKind.Insert] };
        Assert.Null(_fleet.Ask(request));

        var refusal = _fleet.Ask(new PlaceLoan(request.LoanId, PureFleet.Kit));

        Assert.Equal(RefusalCodes.GearMissing, refusal!.Code);
        Assert.Contains("insert earphones", refusal.Sentence, StringComparison.Ordinal);
        Assert.Equal(KitStage.Available, _fleet.Hardware.State.Stage);
    }

    [Fact]
    public void ALoanThatOutlivesTheCalibrationIsRefused()
    {
        // Made on 2026-02-20 and moved: three months (South African Code 7.1.1(b)).
        var request = PureFleet.Request(new DateOnly(2026, 5, 18));
        Assert.Null(_fleet.Ask(request));

        Assert.Equal(RefusalCodes.LoanOutlivesCalibration, _fleet.Ask(new PlaceLoan(request.LoanId, PureFleet.Kit))!.Code);
    }

    [Fact]
    public void WithdrawingFreesTheKitAndAClinicianMayNotTakeAPromisedOne()
    {
        var loan = _fleet.Placed(_session);
        _fleet.CaresForKits = false;
        Assert.Equal(RefusalCodes.RoleNotAllowed, _fleet.Ask(new WithdrawLoan(loan, "not wanted"))!.Code);

        _fleet.CaresForKits = true;
        Assert.Null(_fleet.Ask(new WithdrawLoan(loan, "not wanted")));

        Assert.Equal(KitStage.Available, _fleet.Hardware.State.Stage);
        Assert.Equal(LoanStanding.Withdrawn, Assert.Single(_fleet.View.Past).Standing);
        Assert.Equal(RefusalCodes.LoanStanding, _fleet.Ask(new PlaceLoan(loan, PureFleet.Kit))!.Code);
    }

    [Fact]
    public void AnExtensionMovesBothEndsAndBeginsTheLadderAnew()
    {
        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 11, 9, 0, 0, TimeSpan.Zero);
        var loan = _fleet.Sent(_session);
        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 24, 9, 0, 0, TimeSpan.Zero);
        Assert.Equal("due-today", Assert.Single(_fleet.View.Reminders).Step.Code);
        Assert.Null(_fleet.AskKit(new TakeReminderStep(loan, "due-today", "handed over tomorrow")));
        Assert.Empty(_fleet.View.Reminders);

        Assert.Equal(RefusalCodes.LoanDates, _fleet.Ask(new ProlongLoan(loan, new DateOnly(2026, 3, 20), "too early"))!.Code);
        _fleet.Hardware.Now = _fleet.Hardware.Now.AddMinutes(5);
        Assert.Null(_fleet.Ask(new ProlongLoan(loan, new DateOnly(2026, 4, 7), "one more session")));

        Assert.Equal((new DateOnly(2026, 4, 7), new DateOnly(2026, 4, 10)), (_fleet.Hardware.State.Loan(loan)!.DueBack, _fleet.Hardware.State.Loan(loan)!.BookableFrom));
        _fleet.Hardware.Now = new DateTimeOffset(2026, 4, 7, 9, 0, 0, TimeSpan.Zero);
        Assert.Equal("due-today", Assert.Single(_fleet.View.Reminders).Step.Code);
        Assert.Null(_fleet.AskKit(new TakeReminderStep(loan, "due-today", null)));
    }

    [Theory]
    // The ladder of the practice reference, section 5: -2, 0, +2, +5, call +7, letter +14, lost +30 (common practice).
    [InlineData(-3, null)]
    [InlineData(-2, LadderAction.Reminder)]
    [InlineData(6, LadderAction.Reminder)]
    [InlineData(7, LadderAction.Call)]
    [InlineData(14, LadderAction.Letter)]
    [InlineData(30, LadderAction.GiveUp)]
    public void TheLadderOwesTheStepOfTheDay(int days, LadderAction? action)
    {
        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 11, 9, 0, 0, TimeSpan.Zero);
        _fleet.Sent(_session);

        _fleet.Hardware.Now = new DateTimeOffset(2026, 3, 24, 9, 0, 0, TimeSpan.Zero).AddDays(days);

        Assert.Equal(action, _fleet.View.Reminders.SingleOrDefault()?.Step.Action);
    }

    [Fact]
    public void OnlyAKitAtTheSiteIsSwapped()
    {
        var loan = _fleet.Placed(_session);

        Assert.Equal(RefusalCodes.LoanStanding, _fleet.Ask(new SwapLoan(loan, LoanId.New(), new KitId("kit-02"), [_session], "no sound"))!.Code);
    }
}
