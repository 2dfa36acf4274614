using System.Collections.Concurrent;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>What came of kills at random moments.</summary>
/// <param name="Hub">Times the hub was killed.</param>
/// <param name="Agent">Times the agent was killed.</param>
/// <param name="Sessions">Sessions that were walked to their close meanwhile.</param>
/// <param name="Acknowledged">Commands that were acknowledged, each asked for again at the end.</param>
internal sealed record KillFigures(int Hub, int Agent, int Sessions, int Acknowledged);

/// <summary>kill -9 of hub or agent at random moments of sessions that go on all the while: nothing acknowledged is lost, nothing is doubled, every chain holds.</summary>
internal static class KillCampaign
{
    /// <summary>Longest time left in peace after a start; some kills find a program that has hardly begun.</summary>
    private const int LongestPeaceMs = 2500;

    /// <summary>A session is left alone after this many, so that it comes to its close.</summary>
    private const int KillsPerSession = 15;

    private const int MostWalks = 3;

    /// <summary>Walks sessions and kills until the number is reached.</summary>
    public static async Task<KillFigures> Run(int kills, int seed, Action<KillFigures> told, CancellationToken cancellationToken)
    {
        var random = new Random(seed);
        var figures = new KillFigures(0, 0, 0, 0);
        while (figures.Hub + figures.Agent < kills)
        {
            await using var rig = await SessionRig.Start("valid", "fast", cancellationToken);
            var asked = new ConcurrentQueue<(CommandEnvelope Envelope, Receipt Receipt)>();
            rig.Link.Answered += (envelope, receipt) => asked.Enqueue((envelope, receipt));
            var walk = rig.Clinician.Walk(cancellationToken);
            for (var here = 0; here < KillsPerSession && figures.Hub + figures.Agent < kills && !walk.IsCompleted; here++)
            {
                await Task.WhenAny(walk, Task.Delay(TimeSpan.FromMilliseconds(random.Next(LongestPeaceMs)), TimeProvider.System, cancellationToken));
                figures = await Kill(rig, random.Next(2) == 0, figures, cancellationToken);
            }

            var end = await ToItsClose(rig, walk, cancellationToken);
            Assert.True(end.Closed, $"{end.Sentence}\nagent (over: {rig.Agent.Process.HasExited}):\n{rig.Agent.Process.Text()}\nhub:\n{rig.Hub.Process.Text()}");
            Assert.True(end.View.Integrity.Valid);
            Assert.Equal(4, end.View.Thresholds.Count);
            await WholeLog.AssertOf(rig.Link, rig.Hub.Session, cancellationToken);
            await WholeLog.AssertReceiptsStand(rig.Link, [.. asked], cancellationToken);
            figures = figures with { Sessions = figures.Sessions + 1, Acknowledged = figures.Acknowledged + asked.Count(one => one.Receipt.Accepted()) };
            told(figures);
        }

        return figures;
    }

    /// <summary>Where nothing changes for a minute the scripted clinician gives up; on a machine that is slow to start programs that says nothing yet.</summary>
    private static async Task<WalkEnd> ToItsClose(SessionRig rig, Task<WalkEnd> walk, CancellationToken cancellationToken)
    {
        var end = await walk.WaitAsync(Limits.Walk, TimeProvider.System, cancellationToken);
        for (var again = 1; again < MostWalks && !end.Closed; again++)
        {
            end = await rig.Clinician.Walk(cancellationToken).WaitAsync(Limits.Walk, TimeProvider.System, cancellationToken);
        }

        return end;
    }

    private static async Task<KillFigures> Kill(SessionRig rig, bool hub, KillFigures figures, CancellationToken cancellationToken)
    {
        if (hub)
        {
            await rig.Hub.Kill(cancellationToken);
            await rig.Hub.StartAgain(cancellationToken);
            return figures with { Hub = figures.Hub + 1 };
        }

        // Not waited for until it is linked: the next kill may find it on its way.
        await rig.Agent.Kill(cancellationToken);
        rig.Agent.Launch("fast", enrolmentCode: null);
        return figures with { Agent = figures.Agent + 1 };
    }
}
