using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

/// <summary>One move of a search with its answer.</summary>
internal sealed record Step(SearchMove Move, TrialAnswer Answer)
{
    public double? ToneDbHl => (Move as SearchMove.PresentTone)?.Level.Decibels;
}

/// <summary>Drives searches.</summary>
internal static class SearchDriver
{
    public static readonly SearchSettings NoCatch = new(StoppingRule.TwoOfThree, -10, 100, null) { CatchRate = 0 };

    /// <summary>Answers every move until the search is over.</summary>
    public static (ThresholdOutcome Outcome, IReadOnlyList<Step> Log) Run(SearchSettings settings, Func<SearchMove, TrialAnswer> answer, int seed = 1)
        => Run(new ThresholdSearch(settings, new Random(seed)), answer);

    /// <summary>Answers every move until the procedure is over.</summary>
    public static (ThresholdOutcome Outcome, IReadOnlyList<Step> Log) Run(IThresholdProcedure search, Func<SearchMove, TrialAnswer> answer)
    {
        var log = new List<Step>();
        while (search.Next is not SearchMove.Finished)
        {
            Assert.True(log.Count < 1000, "The search does not end.");
            var step = new Step(search.Next, answer(search.Next));
            log.Add(step);
            search.Record(step.Answer);
        }

        return (((SearchMove.Finished)search.Next).Outcome, log);
    }

    /// <summary>A listener who hears exactly what lies at or above a threshold.</summary>
    public static Func<SearchMove, TrialAnswer> Hears(double thresholdDbHl) => move =>
        move is SearchMove.PresentTone tone && tone.Level.Decibels >= thresholdDbHl ? TrialAnswer.Heard : TrialAnswer.NotHeard;

    /// <summary>Plays a written sequence such as "30- 35+ 25-": the search must ask for each level, and is given each answer. What it wants next comes back.</summary>
    public static SearchMove Replay(SearchSettings settings, string sequence) => Replay(new ThresholdSearch(settings, new Random(1)), sequence);

    /// <summary>Plays a written sequence to any procedure.</summary>
    public static SearchMove Replay(IThresholdProcedure search, string sequence)
    {
        foreach (var item in sequence.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            var tone = Assert.IsType<SearchMove.PresentTone>(search.Next);
            Assert.Equal(item[..^1], tone.Level.Decibels.ToString(System.Globalization.CultureInfo.InvariantCulture));
            search.Record(item[^1] == '+' ? TrialAnswer.Heard : TrialAnswer.NotHeard);
        }

        return search.Next;
    }
}
