using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Logistics.Calendars;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Hub.Tests.Kits.Board;

/// <summary>What happens next with a kit and by when.</summary>
public sealed class NextStepTests
{
    // A Wednesday.
    private static readonly DateOnly _today = new(2026, 3, 11);

    private static readonly BoardTerms _terms = BoardTerms.Of(FleetState.Empty);

    [Fact]
    public void EveryStageHasANextStepInWords()
    {
        foreach (var stage in Enum.GetValues<KitStage>())
        {
            foreach (var standing in new[] { new KitStanding(stage, null), At(stage, _today) with { Loan = Loan(0, 10) }, At(stage, _today) with { Promised = [Loan(3, 10)] } })
            {
                var next = NextStep.Of(standing, _today, _terms);

                Assert.False(string.IsNullOrWhiteSpace(next.What), stage.ToString());
                Assert.EndsWith(".", next.Why, StringComparison.Ordinal);
            }
        }
    }

    [Fact]
    public void AKitThatLeavesOnMondayIsPackedOnFriday()
    {
        var monday = _today.AddDays(5);
        var next = NextStep.Of(At(KitStage.Reserved, _today) with { Promised = [Loan(5, 15)] }, _today, _terms);

        Assert.Equal(DayOfWeek.Monday, monday.DayOfWeek);
        Assert.Equal((KitTaskKind.Ship, "Pack it", monday.AddDays(-3)), (next.Kind, next.What, next.By));
        Assert.Equal("pack-kit", next.Move);
    }

    [Fact]
    public void DaysAreCountedByTheClinicsOwnWeekendAndHolidays()
    {
        // Friday and Saturday are free, and the Sunday after is a holiday.
        var calendar = WorkCalendar.From(new CalendarRules("clinic", [DayOfWeek.Friday, DayOfWeek.Saturday], [new Holiday(_today.AddDays(4), "Ferry day")]));
        var monday = Loan(5, 15);

        Assert.Equal(_today.AddDays(1), NextStep.Of(At(KitStage.Reserved, _today) with { Promised = [monday] }, _today, _terms with { Calendar = calendar }).By);
        Assert.Equal(_today.AddDays(5), NextStep.Of(At(KitStage.Cleaning, _today), _today, _terms with { Calendar = calendar }).By);
        Assert.Equal(_today.AddDays(6), NextStep.Of(At(KitStage.InTransitOut, _today) with { Loan = Loan(0, 20) }, _today, _terms with { Calendar = calendar }).By);
        Assert.Equal(_today.AddDays(5), NextStep.Of(At(KitStage.Delivered, _today) with { Loan = Loan(0, 20) }, _today, _terms with { Calendar = calendar }).By);
    }

    [Fact]
    public void ACalendarWithoutAWorkingDayForAYearStillShowsABoard()
    {
        var calendar = WorkCalendar.From(new CalendarRules("clinic", [], [.. Enumerable.Range(-800, 1600).Select(day => new Holiday(_today.AddDays(day), "closed"))]));

        Assert.All(Enum.GetValues<KitStage>(), stage => Assert.NotEmpty(KitTasks.Of(At(stage, _today) with { Loan = Loan(0, 10), Promised = [Loan(20, 30)] }, _today, _terms with { Calendar = calendar })));
    }

    [Theory]
    [InlineData(KitStage.Packed, "stage-kit")]
    [InlineData(KitStage.AwaitingPickup, "send-kit")]
    public void APackedKitIsHandedOverOnTheDayOfItsLoan(KitStage stage, string move)
    {
        var next = NextStep.Of(At(stage, _today.AddDays(-1)) with { Loan = Loan(-2, 10) }, _today, _terms);

        Assert.Equal((KitTaskKind.Ship, move, _today.AddDays(-2)), (next.Kind, next.Move, next.By));
        Assert.Contains("2 days ago", next.Why, StringComparison.Ordinal);
    }

    [Fact]
    public void AParcelIsWaitedForAndThenChased()
    {
        var standing = At(KitStage.InTransitOut, _today) with { Loan = Loan(0, 20) };

        // Three working days, as loans are booked by the first terms, on from a Wednesday: the Monday after.
        Assert.Equal((KitTaskKind.Wait, _today.AddDays(5)), Read(NextStep.Of(standing, _today, _terms)));
        Assert.Equal((KitTaskKind.Chase, _today.AddDays(6)), Read(NextStep.Of(standing, _today.AddDays(6), _terms)));
        Assert.Equal((KitTaskKind.Chase, _today), Read(NextStep.Of(standing with { Carrier = (CarrierStatus.DeliveryFailed, CarrierReason.NobodyThere) }, _today, _terms)));
    }

    [Fact]
    public void DaysAreThoseOfTheClinicsOwnTermsAsLoansAreBookedByThem()
    {
        var own = FleetTerms.Initial with { Spans = new LoanSpans(1, 7, 1, 4, 5), Ladder = [new LadderStep("given-up", LadderAction.GiveUp, 12, "loan.given-up")] };
        var terms = BoardTerms.Of(FleetState.Empty with { Terms = own });

        // From a Wednesday: seven, four and five working days.
        Assert.Equal(_today.AddDays(9), NextStep.Of(At(KitStage.InTransitOut, _today) with { Loan = Loan(0, 20) }, _today, terms).By);
        Assert.Equal(_today.AddDays(6), NextStep.Of(At(KitStage.InTransitBack, _today), _today, terms).By);
        Assert.Equal(_today.AddDays(7), NextStep.Of(At(KitStage.Cleaning, _today), _today, terms).By);

        // Due back on 13 March; the ladder gives it up twelve days later.
        Assert.EndsWith("On 25 March it is given up.", NextStep.Of(At(KitStage.MissingParcel, _today) with { Loan = Loan(-9, 2) }, _today, terms).Why, StringComparison.Ordinal);
    }

    [Fact]
    public void ATurnaroundIsOverInTwoDaysOrInTimeForTheNextLoan()
    {
        Assert.Equal(_today.AddDays(2), NextStep.Of(At(KitStage.Cleaning, _today), _today, _terms).By);
        Assert.Equal(_today.AddDays(1), NextStep.Of(At(KitStage.Cleaning, _today) with { Promised = [Loan(2, 9)] }, _today, _terms).By);
    }

    [Fact]
    public void ACheckedKitIsReleasedAndAnUncheckedOneChecked()
    {
        Assert.Equal("record-function-check", NextStep.Of(At(KitStage.FunctionCheck, _today), _today, _terms).Move);
        Assert.Equal("release-kit", NextStep.Of(At(KitStage.FunctionCheck, _today) with { CheckPassed = true }, _today, _terms).Move);
    }

    [Theory]
    [InlineData(-3, null)]
    [InlineData(-2, "due-soon")]
    [InlineData(0, "due-today")]
    [InlineData(2, "overdue-first")]
    [InlineData(6, "overdue-second")]
    [InlineData(7, "overdue-call")]
    [InlineData(14, "overdue-letter")]
    [InlineData(30, "given-up")]
    public void AKitThatIsDueIsChasedByTheLadder(int daysLate, string? step)
    {
        // The ladder of the reference, practice.md section 5: -2, 0, +2, +5, call +7, letter +14, lost +30 (common practice).
        var standing = At(KitStage.CheckedInAtSite, _today.AddDays(-40)) with { Loan = Loan(-45, -daysLate) };

        var chase = KitTasks.Of(standing, _today, _terms).SingleOrDefault(task => task.Kind == KitTaskKind.Chase);

        Assert.Equal(OverdueLadder.Usual.Steps.SingleOrDefault(known => known.Code == step)?.DaysAfterDue, chase?.By!.Value.DayNumber - standing.Loan!.DueBack.DayNumber);
        if (step is not null)
        {
            Assert.DoesNotContain(KitTasks.Of(standing with { LadderTaken = [step] }, _today, _terms), task => task.Kind == KitTaskKind.Chase);
        }
    }

    [Fact]
    public void ChasingComesFirstOnceAKitIsLateAndAfterItsNextStepBefore()
    {
        var standing = At(KitStage.CheckedInAtSite, _today.AddDays(-9));

        Assert.Equal([KitTaskKind.Chase, KitTaskKind.Wait], KitTasks.Of(standing with { Loan = Loan(-12, -3) }, _today, _terms).Select(task => task.Kind));
        Assert.Equal([KitTaskKind.Wait, KitTaskKind.Chase], KitTasks.Of(standing with { Loan = Loan(-12, 0) }, _today, _terms).Select(task => task.Kind));
    }

    [Theory]
    [InlineData(KitStage.InTransitOut, "with the carrier, to Linden Court")]
    [InlineData(KitStage.CheckedInAtSite, "Linden Court")]
    [InlineData(KitStage.InTransitBack, "with the carrier, from Linden Court")]
    [InlineData(KitStage.MissingParcel, "not known")]
    [InlineData(KitStage.Received, null)]
    public void WhereAKitIsFollowsItsWay(KitStage stage, string? where) =>
        Assert.Equal(where, KitWay.Where(At(stage, _today) with { Loan = Loan(-3, 9) }));

    [Theory]
    [InlineData(31, null)]
    [InlineData(30, "Book the laboratory")]
    [InlineData(0, "Book the laboratory")]
    [InlineData(-1, "Send it to the laboratory")]
    public void ACalibrationIsSeenToAMonthBeforeItsEnd(int daysLeft, string? what)
    {
        var tasks = KitTasks.Of(At(KitStage.Available, _today) with { CalibratedUntil = _today.AddDays(daysLeft), Calibration = CalibrationStanding.Holds }, _today, _terms);

        Assert.Equal(what, tasks.SingleOrDefault(task => task.Kind == KitTaskKind.Calibrate)?.What);
    }

    [Fact]
    public void AnUnsignedPaperIsATaskUntilItIsSigned()
    {
        var standing = At(KitStage.Reserved, _today) with { Promised = [Loan(3, 10)] };

        Assert.Contains(KitTasks.Of(standing, _today, _terms), task => task.Move == "sign-loan-paper");
        Assert.DoesNotContain(KitTasks.Of(standing with { Promised = [Loan(3, 10) with { PaperSigned = true }] }, _today, _terms), task => task.Move == "sign-loan-paper");
    }

    [Fact]
    public void AHoldByHandIsATaskOfItsOwn()
    {
        var tasks = KitTasks.Of(At(KitStage.Available, _today) with { Holds = [new KitHold(KitHoldKind.BatterySuspect, "The battery of the unit is swollen.", true, true)] }, _today, _terms);

        Assert.Contains(tasks, task => task is { Kind: KitTaskKind.Settle, Move: "lift-hold" } && task.Why.Contains("swollen", StringComparison.Ordinal));
    }

    private static (KitTaskKind, DateOnly?) Read(KitTask task) => (task.Kind, task.By);

    private static KitStanding At(KitStage stage, DateOnly since) => new(stage, since);

    private static LoanSpan Loan(int from, int dueBack) => new(LoanId.New(), "Linden Court", _today.AddDays(from), _today.AddDays(dueBack), _today.AddDays(dueBack + 3));
}
