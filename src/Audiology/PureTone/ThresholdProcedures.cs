namespace TeleHearing.Audiology.PureTone;

/// <summary>Begins the search a method names.</summary>
public static class ThresholdProcedures
{
    /// <summary>Begins an ascending search or a bracketing.</summary>
    /// <param name="method">Method.</param>
    /// <param name="settings">Levels and limits.</param>
    /// <param name="random">Seeded source of the catch trials.</param>
    /// <exception cref="ArgumentOutOfRangeException">A setting is outside its range, or the method is the estimate, which begins from what is expected of the ear and not from settings alone.</exception>
    public static IThresholdProcedure Begin(ThresholdMethod method, SearchSettings settings, Random random) => method switch
    {
        ThresholdMethod.Ascending => new ThresholdSearch(settings, random),
        ThresholdMethod.Bracketing => new BracketingSearch(settings, random),
        _ => throw new ArgumentOutOfRangeException(nameof(method), method, "Only the ascending search and bracketing begin from settings alone."),
    };
}
