using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>One frequency of the table that says the same as the chart.</summary>
/// <param name="Frequency">Frequency.</param>
/// <param name="Right">Standing measurement of the right ear, if any.</param>
/// <param name="Left">Standing measurement of the left ear, if any.</param>
public sealed record AudiogramRow(AudiometricFrequency Frequency, ThresholdOutcome? Right, ThresholdOutcome? Left);

/// <summary>An audiogram in words.</summary>
public static class AudiogramText
{
    /// <summary>The description a screen reader reads after the title.</summary>
    public static string Describe(Audiogram audiogram)
    {
        if (audiogram.Description is { } given)
        {
            return given;
        }

        var ears = Enum.GetValues<Ear>().Where(audiogram.Shows).Select(ear => DescribeEar(audiogram, ear));
        return $"Air conduction, not masked. {string.Join(" ", ears)}";
    }

    /// <summary>Every frequency at which a shown ear has a standing measurement, rising.</summary>
    public static IReadOnlyList<AudiogramRow> Rows(Audiogram audiogram)
    {
        var right = ByFrequency(audiogram, Ear.Right);
        var left = ByFrequency(audiogram, Ear.Left);
        return
        [
            .. AudiometricFrequency.All
                .Where(frequency => right.ContainsKey(frequency) || left.ContainsKey(frequency))
                .Select(frequency => new AudiogramRow(frequency, right.GetValueOrDefault(frequency), left.GetValueOrDefault(frequency))),
        ];
    }

    private static Dictionary<AudiometricFrequency, ThresholdOutcome> ByFrequency(Audiogram audiogram, Ear ear) =>
        audiogram.Shows(ear) ? audiogram.Standing(ear).ToDictionary(point => point.Frequency, point => point.Outcome) : [];

    private static string DescribeEar(Audiogram audiogram, Ear ear)
    {
        var points = audiogram.Standing(ear);
        return points.Count == 0
            ? $"{OutcomeText.Name(ear)} ear: nothing measured yet."
            : $"{OutcomeText.Name(ear)} ear: {string.Join("; ", points.Select(point => $"{point.Frequency}, {OutcomeText.Short(point.Outcome)}"))}.";
    }
}
