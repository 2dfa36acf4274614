using System.Text.RegularExpressions;
using Bunit;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Screen;

namespace TeleHearing.Site.Agent.Tests.Screen;

public sealed partial class CoachCardTests
{
    private static readonly string[] _blaming = ["wrong", "fail", "error", "mistake", "bad", "incorrect", "fault", "must"];

    public static TheoryData<SessionStage> Stages => [.. Enum.GetValues<SessionStage>()];

    private static IEnumerable<string> Texts(CoachCard card) =>
        new[] { card.Goal, card.Say, card.Caution }.Concat(card.Steps).OfType<string>();

    private static IEnumerable<CoachCard> All() =>
        Enum.GetValues<SessionStage>().Select(CoachCards.For).Concat([CoachCards.Ready, CoachCards.Starting, CoachCards.Reconnecting, CoachCards.NotServed, .. GearCards()]);

    private static IEnumerable<CoachCard> GearCards() =>
    [
        CoachCards.ForGear(ConductionRoute.Air, null),
        .. new[] { Ear.Right, Ear.Left }.SelectMany(ear => new[] { CoachCards.ForGear(ConductionRoute.BoneMastoid, ear), CoachCards.ForGear(ConductionRoute.BoneForehead, ear) }),
    ];

    private static IEnumerable<string> Sentences(string text) => SentenceEnd().Split(text).Where(sentence => sentence.Length > 0);

    private static int Words(string sentence) => sentence.Split(' ', StringSplitOptions.RemoveEmptyEntries).Length;

    [Theory]
    [MemberData(nameof(Stages))]
    public void EveryStageHasACardThatFitsOnTheScreen(SessionStage stage)
    {
        var card = CoachCards.For(stage);

        Assert.InRange(card.Steps.Count, 1, 4);
        Assert.NotEmpty(card.Goal);
    }

    [Fact]
    public void NoSentenceIsLongerThan15Words() =>
        Assert.All(All().SelectMany(Texts).SelectMany(Sentences), sentence => Assert.True(Words(sentence) <= 15, sentence));

    [Fact]
    public void NoWordBlames() =>
        Assert.All(All().SelectMany(Texts), text => Assert.DoesNotContain(_blaming, word => Regex.IsMatch(text, $@"\b{word}", RegexOptions.IgnoreCase)));

    [Theory]
    [MemberData(nameof(Stages))]
    public void TheReadingGradeIsAtMostSix(SessionStage stage)
    {
        // Flesch-Kincaid grade level (Kincaid et al. 1975), syllables counted as groups of vowels
        var sentences = Texts(CoachCards.For(stage)).SelectMany(Sentences).ToList();
        var words = sentences.SelectMany(sentence => sentence.Split(' ', StringSplitOptions.RemoveEmptyEntries)).ToList();
        var grade = (0.39 * words.Count / sentences.Count) + (11.8 * words.Sum(Syllables) / words.Count) - 15.59;

        Assert.InRange(grade, -5, 6);
    }

    [Fact]
    public void TheEarCardWarnsAgainstPuttingAnythingInAndNamesWhatStops()
    {
        var caution = CoachCards.For(SessionStage.EarLook).Caution!;

        foreach (var word in new[] { "Never put anything into an ear", "pain", "blood", "fluid", "Stop", "help" })
        {
            Assert.Contains(word, caution, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void TheEarphoneCardNamesBothSidesAndWhatComesOff()
    {
        var steps = string.Join(' ', CoachCards.For(SessionStage.SideProof).Steps);

        foreach (var word in new[] { "glasses", "hearing aids", "Red R goes on the right ear", "Blue L goes on the left ear" })
        {
            Assert.Contains(word, steps, StringComparison.Ordinal);
        }
    }

    /// <summary>The vibrator goes behind the ear under test in place of its earphone; the earphone for the masker goes on the other. Cautions as for anything worn (common practice).</summary>
    [Theory]
    [InlineData(Ear.Right, "red R", "behind the right ear", "on the left ear")]
    [InlineData(Ear.Left, "blue L", "behind the left ear", "on the right ear")]
    public void TheVibratorCardSaysWhatGoesWhereAndWhatIsNotDone(Ear ear, string plug, string place, string earphone)
    {
        var card = CoachCards.ForGear(ConductionRoute.BoneMastoid, ear);
        var steps = string.Join(' ', card.Steps);

        Assert.True(card.CanBeDone);
        Assert.Equal(4, card.Steps.Count);
        Assert.All([plug, place, earphone], words => Assert.Contains(words, steps, StringComparison.Ordinal));
        Assert.Contains("hurts", card.Caution!, StringComparison.Ordinal);
        Assert.Contains("Put nothing in an ear unless your clinician says so", card.Caution!, StringComparison.Ordinal);
        Assert.Contains("forehead", string.Join(' ', CoachCards.ForGear(ConductionRoute.BoneForehead, ear).Steps), StringComparison.Ordinal);
    }

    /// <summary>The picture shows what the words say: each way of wearing it has its own, and none is that of both earphones.</summary>
    [Fact]
    public void EveryWayOfWearingTheVibratorHasItsOwnPicture()
    {
        CardPicture[] pictures =
        [
            .. from route in new[] { ConductionRoute.BoneMastoid, ConductionRoute.BoneForehead }
               from ear in new[] { Ear.Right, Ear.Left }
               select CoachCards.ForGear(route, ear).Picture,
        ];

        Assert.Equal([CardPicture.VibratorRight, CardPicture.VibratorLeft, CardPicture.ForeheadEarphoneLeft, CardPicture.ForeheadEarphoneRight], pictures);
        Assert.Equal(CardPicture.Earphones, CoachCards.ForGear(ConductionRoute.Air, null).Picture);
    }

    /// <summary>Red stands for the right ear and blue for the left, as on the earphones; the ear under test has none.</summary>
    [Theory]
    [InlineData(CardPicture.VibratorRight, "blue", "red")]
    [InlineData(CardPicture.VibratorLeft, "red", "blue")]
    [InlineData(CardPicture.ForeheadEarphoneLeft, "blue", "red")]
    [InlineData(CardPicture.ForeheadEarphoneRight, "red", "blue")]
    public void TheEarUnderTestHasNoEarphoneInThePicture(CardPicture picture, string worn, string free)
    {
        using var context = new BunitContext();
        var drawing = context.Render<CardDrawing>(parameters => parameters.Add(card => card.Picture, picture));

        Assert.Single(drawing.FindAll($"rect.{worn}"));
        Assert.Empty(drawing.FindAll($"rect.{free}"));
        Assert.Single(drawing.FindAll("rect.filled"));
    }

    private static int Syllables(string word)
    {
        var groups = VowelGroup().Count(word);
        return Math.Max(1, word.TrimEnd('.', ',', '?', ':').EndsWith('e') && groups > 1 ? groups - 1 : groups);
    }

    [GeneratedRegex(@"(?<=[.?!:])\s+")]
    private static partial Regex SentenceEnd();

    [GeneratedRegex("[aeiouy]+", RegexOptions.IgnoreCase)]
    private static partial Regex VowelGroup();
}
