using System.Text.Json;
using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Board;

namespace TeleHearing.Hub.Tests.Kits.Board;

/// <summary>What happened to a kit, and what is planned with it, laid over days.</summary>
public sealed class KitTimelineTests
{
    private static readonly KitId _kit = new("kit-07");
    private static readonly DateOnly _today = new(2026, 3, 20);

    [Fact]
    public void ALoanIsTheWorkedCaseOfTheReferenceDayByDay()
    {
        // Worked case of practice.md section 7 (example input): ship Wed 11, arrive Mon 16, session Wed 18, back Tue 24, bookable Fri 27 March 2026. Today is Friday 20.
        var loan = new LoanSpan(LoanId.New(), "Linden Court", new DateOnly(2026, 3, 11), new DateOnly(2026, 3, 24), new DateOnly(2026, 3, 27));
        StageChange[] changes =
        [
            new(new DateOnly(2026, 3, 10), KitStage.Packed, "Linden Court"),
            new(new DateOnly(2026, 3, 11), KitStage.InTransitOut, "Linden Court"),
            new(new DateOnly(2026, 3, 16), KitStage.Delivered, "Linden Court"),
            new(new DateOnly(2026, 3, 16), KitStage.CheckedInAtSite, "Linden Court"),
        ];
        var window = new KitTimelineQuery(new DateOnly(2026, 3, 1), 31, [_kit]);

        var row = KitTimeline.Row(_kit, changes, new KitStanding(KitStage.CheckedInAtSite, changes[^1].Day) { Loan = loan }, [new DateOnly(2026, 3, 18)], window, _today);

        Assert.Equal(
            [
                (KitSpanKind.Packed, 10, 10), (KitSpanKind.Out, 11, 15), (KitSpanKind.AtSite, 16, 20), (KitSpanKind.Promised, 21, 24),
                (KitSpanKind.PromisedTurnaround, 25, 26), (KitSpanKind.Session, 18, 18),
            ],
            row.Spans.Select(span => (span.Kind, span.FirstDay + 1, span.FirstDay + span.Days)));
        Assert.Equal(["Linden Court"], row.Places);
    }

    [Fact]
    public void AKitThatIsNotBackInTimeIsOverdueFromTheDayAfter()
    {
        var loan = new LoanSpan(LoanId.New(), "Birch Row", _today.AddDays(-20), _today.AddDays(-3), _today);
        var row = Row([new(_today.AddDays(-20), KitStage.InTransitOut, "Birch Row")], new KitStanding(KitStage.InTransitOut, _today.AddDays(-20)) { Loan = loan });

        var overdue = Assert.Single(row.Spans, span => span.Kind == KitSpanKind.Overdue);
        Assert.Equal((_today.AddDays(-2), 3), (Window.From.AddDays(overdue.FirstDay), overdue.Days));
    }

    [Fact]
    public void AVeryShortStageIsCoveredByWhatFollowed()
    {
        var row = Row([new(_today, KitStage.Received, null), new(_today, KitStage.Cleaning, null), new(_today, KitStage.Available, null)], new KitStanding(KitStage.Available, _today));

        Assert.Empty(row.Spans);
    }

    [Fact]
    public void WhatLiesOutsideTheWindowIsCutOff()
    {
        var row = Row([new(Window.From.AddDays(-40), KitStage.Repair, null), new(Window.From.AddDays(3), KitStage.Available, null)], new KitStanding(KitStage.Available, Window.From.AddDays(3)));

        Assert.Equal([new KitSpan(KitSpanKind.Repair, 0, 3, -1)], row.Spans);
    }

    [Fact]
    public void EveryStretchLiesInTheWindowAndNoTwoOfTheKitsPlaceOverlap()
    {
        var stages = Gen.Elements(Enum.GetValues<KitStage>());
        var steps = Gen.Choose(0, 6).SelectMany(days => stages.Select(stage => (days, stage))).ListOf(40);
        Check.QuickThrowOnFailure(Prop.ForAll(steps.ToArbitrary(), list =>
        {
            var day = _today.AddDays(-200);
            var changes = new List<StageChange>();
            foreach (var (days, stage) in list)
            {
                day = day.AddDays(days);
                changes.Add(new StageChange(day > _today ? _today : day, stage, KitWay.IsAway(stage) ? "somewhere" : null));
            }

            var row = Row(changes, new KitStanding(changes.Count == 0 ? KitStage.Available : changes[^1].Stage, null));
            var inWindow = row.Spans.All(span => span.FirstDay >= 0 && span.Days >= 1 && span.FirstDay + span.Days <= Window.Days);
            var perDay = Enumerable.Range(0, Window.Days).Select(index => row.Spans.Count(span => span.Covers(index)));
            return inWindow && perDay.All(count => count <= 1);
        }));
    }

    [Fact]
    public void AStretchIsFourNumbersOnTheWireAndComesBackTheSame()
    {
        var row = new KitTimelineRow(_kit, [new KitSpan(KitSpanKind.AtSite, 3, 9, 0), new KitSpan(KitSpanKind.Session, 5, 1, -1)], ["Linden Court"]);

        var json = JsonSerializer.Serialize(row, Protocol.Json);
        var back = JsonSerializer.Deserialize<KitTimelineRow>(json, Protocol.Json)!;

        Assert.Contains("\"spans\":[[2,3,9,0],[12,5,1,-1]]", json, StringComparison.Ordinal);
        Assert.Equal(row.Spans, back.Spans);
        Assert.Throws<JsonException>(() => JsonSerializer.Deserialize<KitSpan>("[1,2,3]", Protocol.Json));
        Assert.Throws<JsonException>(() => JsonSerializer.Deserialize<KitSpan>("[1,2,3,4,5]", Protocol.Json));
        Assert.Throws<JsonException>(() => JsonSerializer.Deserialize<KitSpan>("{}", Protocol.Json));
    }

    private static KitTimelineQuery Window { get; } = new(_today.AddDays(-60), 92, [_kit]);

    private static KitTimelineRow Row(IReadOnlyList<StageChange> changes, KitStanding standing) => KitTimeline.Row(_kit, changes, standing, [], Window, _today);
}
