using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Cli.Rehearsal;

/// <summary>Draws what a session has on record.</summary>
internal static class RecordedAudiogram
{
    /// <summary>The audiogram as an SVG document.</summary>
    public static string Render(SessionView view)
    {
        var title = string.Create(CultureInfo.InvariantCulture, $"Audiogram of {view.Person.Reference}, {view.PlannedStart:yyyy-MM-dd}");
        return AudiogramSvg.Render(new Audiogram(
            title,
            [.. view.Superseded.Select(record => Point(record, superseded: true)), .. view.Thresholds.Select(record => Point(record, superseded: false))])
        {
            LowestProvable = view.Room?.LowestProvable ?? [],
        });
    }

    private static AudiogramPoint Point(ThresholdRecord record, bool superseded) =>
        new(record.Ear, AudiometricFrequency.FromHertz(record.FrequencyHz), record.Outcome, superseded) { Route = record.Route, Masked = record.Masking is not null, Estimate = record.Method == ThresholdMethod.Estimate, Interval = record.Estimate is { } estimate ? new CredibleInterval(estimate.LowerDbHl, estimate.UpperDbHl, estimate.CredibleShare) : null };
}
