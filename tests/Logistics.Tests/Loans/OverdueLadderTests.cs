using TeleHearing.Logistics.Loans;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests.Loans;

/// <summary>Days of the ladder: practice reference, section 5 (common practice).</summary>
public sealed class OverdueLadderTests
{
    private static readonly DateOnly _due = On("2026-03-24");

    [Fact]
    public void TheUsualLadderHasTheDaysOfTheReference()
    {
        Assert.Equal([-2, 0, 2, 5, 7, 14, 30], OverdueLadder.Usual.Steps.Select(step => step.DaysAfterDue));
        Assert.Equal(
            [LadderAction.Reminder, LadderAction.Reminder, LadderAction.Reminder, LadderAction.Reminder, LadderAction.Call, LadderAction.Letter, LadderAction.GiveUp],
            OverdueLadder.Usual.Steps.Select(step => step.Action));
        Assert.Empty(OverdueLadder.Usual.Faults());
    }

    [Theory]
    [InlineData("2026-03-21", null)]
    [InlineData("2026-03-22", "due-soon")]
    [InlineData("2026-03-23", "due-soon")]
    [InlineData("2026-03-24", "due-today")]
    [InlineData("2026-03-25", "due-today")]
    [InlineData("2026-03-26", "overdue-first")]
    [InlineData("2026-03-29", "overdue-second")]
    [InlineData("2026-03-31", "overdue-call")]
    [InlineData("2026-04-06", "overdue-call")]
    [InlineData("2026-04-07", "overdue-letter")]
    [InlineData("2026-04-22", "overdue-letter")]
    [InlineData("2026-04-23", "given-up")]
    [InlineData("2027-04-23", "given-up")]
    public void TheLatestStepReachedIsOwed(string today, string? step) =>
        Assert.Equal(step, OverdueLadder.Usual.Standing(_due, On(today), []).Owed?.Code);

    [Fact]
    public void AStepTakenIsOwedNoMoreAndTheNextIsNamedWithItsDay()
    {
        var standing = OverdueLadder.Usual.Standing(_due, On("2026-03-27"), [new("due-soon", _due), new("overdue-first", _due)]);

        Assert.Null(standing.Owed);
        Assert.Empty(standing.PassedOver);
        Assert.Equal(("overdue-second", On("2026-03-29")), (standing.Next!.Code, standing.NextOn));
        Assert.Equal((3, true), (standing.DaysOverdue, standing.IsOverdue));
    }

    [Fact]
    public void AMissedWeekSendsOneReminderNotThree()
    {
        var standing = OverdueLadder.Usual.Standing(_due, On("2026-03-30"), [new("due-soon", _due)]);

        Assert.Equal("overdue-second", standing.Owed!.Code);
        Assert.Equal(["due-today", "overdue-first"], standing.PassedOver.Select(step => step.Code));
    }

    [Fact]
    public void AStepTakenEarlyIsNotAskedForAgain()
    {
        var standing = OverdueLadder.Usual.Standing(_due, On("2026-03-26"), [new("overdue-call", _due)]);

        Assert.Null(standing.Owed);
        Assert.Equal("overdue-letter", standing.Next!.Code);
    }

    [Fact]
    public void AnExtensionBeginsTheLadderAnew()
    {
        var later = On("2026-04-10");
        var done = new LadderDone[] { new("due-soon", _due), new("due-today", _due), new("overdue-first", _due) };

        Assert.Null(OverdueLadder.Usual.Standing(later, On("2026-04-07"), done).Owed);
        Assert.Equal("due-soon", OverdueLadder.Usual.Standing(later, On("2026-04-08"), done).Owed!.Code);
    }

    [Fact]
    public void NothingIsOverdueOnTheDayItIsDue()
    {
        Assert.False(OverdueLadder.Usual.Standing(_due, _due, []).IsOverdue);
        Assert.Equal(1, OverdueLadder.Usual.Standing(_due, _due.AddDays(1), []).DaysOverdue);
    }

    [Fact]
    public void TheLastStepGivesTheKitUpAndNothingComesAfterIt()
    {
        var givenUp = OverdueLadder.Usual.Standing(_due, _due.AddDays(30), []);

        Assert.Equal(LadderAction.GiveUp, givenUp.Owed?.Action);
        Assert.Equal(LadderAction.Letter, OverdueLadder.Usual.Standing(_due, _due.AddDays(29), []).Owed?.Action);
        Assert.Null(givenUp.Next);
    }

    [Fact]
    public void AnOwnerMayChangeTheDays()
    {
        var ladder = OverdueLadder.Usual.OnDays([-5, 0, 1, 3, 4, 10, 20]);

        Assert.Equal("overdue-call", ladder.Standing(_due, _due.AddDays(4), []).Owed!.Code);
        Assert.Throws<ArgumentException>(() => OverdueLadder.Usual.OnDays([1, 2]));
    }

    [Fact]
    public void ALadderThatCannotBeUsedSaysWhatIsWrong()
    {
        Assert.Contains("The step on day 2 must come later than the one before it, which is on day 2.", Assert.Single(OverdueLadder.Usual.OnDays([-2, 0, 2, 2, 7, 14, 30]).Faults()).Sentence, StringComparison.Ordinal);
        Assert.NotEmpty(OverdueLadder.Usual.OnDays([-31, 0, 2, 5, 7, 14, 30]).Faults());
        Assert.NotEmpty(OverdueLadder.Usual.OnDays([-2, 0, 2, 5, 7, 14, int.MaxValue]).Faults());
        Assert.NotEmpty(new OverdueLadder([]).Faults());
        Assert.NotEmpty(new OverdueLadder(null!).Faults());
        Assert.NotEmpty(new OverdueLadder([new("a", LadderAction.GiveUp, 1, "w"), new("b", LadderAction.Call, 2, "w")]).Faults());
        Assert.NotEmpty(new OverdueLadder([new("a", LadderAction.Call, 1, "w"), new("a", LadderAction.Call, 2, "w")]).Faults());
        Assert.NotEmpty(new OverdueLadder([new(" ", (LadderAction)9, 1, "")]).Faults());
        Assert.Throws<InvalidOperationException>(() => new OverdueLadder([]).Standing(_due, _due, []));
        Assert.Throws<ArgumentOutOfRangeException>(() => OverdueLadder.Usual.Standing(default, _due, []));
    }
}
