using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>What must be true of a session's event log whatever happened to the programs that wrote it.</summary>
internal static class WholeLog
{
    /// <summary>Reads the event log as exported: no gap, no trial, order, beginning, end or threshold twice, and every hash as it must be.</summary>
    public static async Task AssertOf(ConsoleLink link, SessionId session, CancellationToken cancellationToken)
    {
        var log = await ExportedLog.Read(link, session, cancellationToken);
        log.AssertChained();
        string[] facts =
        [
            .. log.Of("trial.taken").Select(payload => $"trial {payload.GetProperty("stepId")} {payload.GetProperty("trial").GetProperty("number")}"),
            .. log.Of("step.ordered").Select(payload => $"ordered {payload.GetProperty("order").GetProperty("stepId")}"),
            .. log.Of("step.began").Select(payload => $"began {payload.GetProperty("stepId")}"),
            .. log.Of("step.over").Select(payload => $"over {payload.GetProperty("stepId")}"),
        ];

        Assert.Equal(log.Of("step.ordered").Count, log.Of("step.over").Count);
        Assert.NotEmpty(log.Of("trial.taken"));
        Assert.Equal(facts.Length, facts.Distinct().Count());
    }

    /// <summary>Asking again under the same id gives the first receipt again, and adds nothing: what was acknowledged is held, and not done twice.</summary>
    public static async Task AssertReceiptsStand(ConsoleLink link, IReadOnlyList<(CommandEnvelope Envelope, Receipt Receipt)> asked, CancellationToken cancellationToken)
    {
        // The kit's word that it holds nothing more comes after the close, as the last entry.
        var wiped = await link.Until(view => view.Timeline.Any(entry => entry.Text.Contains("nothing of this session is left on it", StringComparison.Ordinal)), cancellationToken).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
        foreach (var (envelope, receipt) in asked.Where(one => one.Receipt.Accepted()))
        {
            Assert.Equal(receipt, await link.Ask(envelope, cancellationToken));
            Assert.True(receipt.SessionVersion <= wiped.Version);
        }

        Assert.Equal(wiped.Version, link.View.Version);
        Assert.NotEmpty(asked);
    }
}
