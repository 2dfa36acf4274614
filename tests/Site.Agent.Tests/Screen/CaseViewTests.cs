using System.Text.RegularExpressions;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Screen.Case;

namespace TeleHearing.Site.Agent.Tests.Screen;

/// <summary>What of the case is shown, and when.</summary>
public sealed class CaseViewTests
{
    private static readonly DateTimeOffset _packedAt = new(2026, 11, 20, 9, 0, 0, TimeSpan.Zero);

    public static TheoryData<SessionStage> Stages => [.. Enum.GetValues<SessionStage>()];

    internal static KitCase Case(KitStage stage = KitStage.Delivered, bool battery = true, IReadOnlyList<ItemCount>? countedHere = null) => new(
        new KitId("kit-02"),
        stage,
        [
            new KitItem("U1", "earphone unit", 1, 1) { Serial = "AU-1140", Battery = battery ? new ItemBattery(18, 4, 1, true) : null },
            new KitItem("E1", "circumaural earphones", 1, 1) { Serial = "CE-2207", Contact = ItemContact.Skin },
            new KitItem("W1", "wipes", 20, 10) { SingleUse = true },
        ],
        new KitCount(_packedAt, "Pella Nyström", CountOccasion.Packed, [new ItemCount("U1", 1), new ItemCount("E1", 1), new ItemCount("W1", 18)], "0123"),
        countedHere is null ? null : new KitCount(_packedAt.AddDays(3), "kit-02", CountOccasion.CheckedIn, countedHere, null),
        new DateOnly(2026, 12, 4),
        [],
        battery);

    private static CasePicture Picture(KitCase? known, bool charged = false, IReadOnlyList<ItemCount>? counted = null, bool packed = false) => new(known, counted, charged, packed);

    private static KitScreenState.Picture Screen(SessionStage? stage = null, bool stopped = false, LinkState link = LinkState.Linked) =>
        new(link, null, stage is { } at ? new KitScene(SessionId.New(), at, null, "Maren Toft", null, false, null, stopped) : null, null, false, null);

    [Fact]
    public void AnArrivedKitIsChargedThenCountedThenThankedFor()
    {
        var known = Case();

        Assert.Equal(CaseShown.Charge, CaseView.Of(Picture(known), Screen(), false));
        Assert.Equal(CaseShown.Count, CaseView.Of(Picture(known, charged: true), Screen(), false));
        Assert.Equal(CaseShown.Counted, CaseView.Of(Picture(known, charged: true, counted: []), Screen(), false));
        Assert.Equal(CaseShown.Count, CaseView.Of(Picture(Case(battery: false)), Screen(SessionStage.Connecting), false));
        Assert.Equal(CaseShown.Counted, CaseView.Of(Picture(Case(battery: false, countedHere: [])), Screen(SessionStage.KitCheck), false));
    }

    [Theory]
    [MemberData(nameof(Stages))]
    public void APersonWhoIsTestedSeesNothingOfTheCase(SessionStage stage)
    {
        var shown = CaseView.Of(Picture(Case(KitStage.InUse)), Screen(stage), false);

        Assert.Equal(stage is SessionStage.Connecting or SessionStage.KitCheck or SessionStage.Handoff, shown != CaseShown.None);
        Assert.Equal(CaseShown.None, CaseView.Of(Picture(Case(KitStage.InUse)), Screen(stage), stopPressed: true));
        Assert.Equal(CaseShown.None, CaseView.Of(Picture(Case(KitStage.InUse)), Screen(stage, stopped: true), false));
    }

    [Fact]
    public void APackedCaseSaysWhatToDoWithTheParcel()
    {
        Assert.Equal(CaseShown.PackUp, CaseView.Of(Picture(Case(KitStage.InUse)), Screen(SessionStage.Handoff), false));
        Assert.Equal(CaseShown.Packed, CaseView.Of(Picture(Case(KitStage.InUse), packed: true), Screen(SessionStage.Handoff), false));
        Assert.Equal(CaseShown.Packed, CaseView.Of(Picture(Case(KitStage.AwaitingReturn)), Screen(), false));
    }

    [Theory]
    [InlineData(SessionStage.Closed)]
    [InlineData(SessionStage.Aborted)]
    [InlineData(SessionStage.Converted)]
    public void WhatToDoWithTheParcelStaysInSightWhenTheSessionIsOver(SessionStage over)
    {
        Assert.Equal(CaseShown.Packed, CaseView.Of(Picture(Case(KitStage.InUse), packed: true), Screen(over), false));
        Assert.Equal(CaseShown.Packed, CaseView.Of(Picture(Case(KitStage.AwaitingReturn)), Screen(over), false));
        Assert.Equal(CaseShown.None, CaseView.Of(Picture(Case(KitStage.CheckedInAtSite)), Screen(over), false));
    }

    [Theory]
    [InlineData(KitStage.Available)]
    [InlineData(KitStage.Reserved)]
    [InlineData(KitStage.Received)]
    [InlineData(KitStage.Cleaning)]
    public void AKitThatIsNotAwayShowsNothing(KitStage stage) => Assert.Equal(CaseShown.None, CaseView.Of(Picture(Case(stage)), Screen(), false));

    [Fact]
    public void AKitTheHubSaidNothingOfShowsNothing()
    {
        Assert.Equal(CaseShown.None, CaseView.Of(Picture(null), Screen(SessionStage.Connecting), false));
        Assert.Equal(CaseShown.None, CaseView.Of(Picture(Case() with { Packed = null }), Screen(SessionStage.Connecting), false));
    }

    [Fact]
    public void WhatIsLessThanWasPackedIsNamedAndUsedThingsBesides()
    {
        var known = Case();

        Assert.Equal(["wipes: 12 of 18."], CaseWords.Missing(known.Items, known.Packed!.Counts, [new ItemCount("U1", 1), new ItemCount("E1", 1), new ItemCount("W1", 12)]));
        Assert.Empty(CaseWords.Missing(known.Items, known.Packed.Counts, known.Packed.Counts));
    }

    [Fact]
    public void EverySentenceIsShortAndNoneBlames()
    {
        string[] texts =
        [
            CaseWords.ChargeGoal, .. CaseWords.ChargeSteps, CaseWords.ChargeCaution, CaseWords.CountGoal, CaseWords.CountHint, CaseWords.PackGoal, CaseWords.PackHint,
            CaseWords.PackedGoal, CaseWords.PhotoHint, CaseWords.CountGoalOf(true), CaseWords.CountGoalOf(false),
            .. CaseWords.PackedSteps(new DateOnly(2026, 12, 4)), .. CaseWords.PackedSteps(null),
        ];

        Assert.All(texts.SelectMany(text => Regex.Split(text, @"(?<=[.?!])\s+")), sentence => Assert.True(sentence.Split(' ').Length <= 15, sentence));
        Assert.All(texts, text => Assert.DoesNotMatch(@"(?i)\b(wrong|fail|error|mistake|bad|incorrect|fault|must)", text));
        Assert.All(texts, text => Assert.DoesNotMatch(@"(?i)\b(dB|Hz|level|threshold|tone)\b", text));
    }
}
