using System.Globalization;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>Outages of a link in the middle of a tone; the long ones are run by hand (docs/validation/faults.md).</summary>
[Collection(Alone.Name)]
[Trait("Kind", "EndToEnd")]
public sealed class OutageTests(ITestOutputHelper output)
{
    /// <summary>Longest sound after a cut of any kind (docs/protocol.md, "Lease").</summary>
    private static readonly TimeSpan _silent = TimeSpan.FromSeconds(1.1);

    private static readonly (OutageKind Kind, double Seconds)[] _outages =
    [
        (OutageKind.Silent, 0.2), (OutageKind.SilentToHub, 4), (OutageKind.SilentFromHub, 4), (OutageKind.HubStandsStill, 4), (OutageKind.KitStandsStill, 4),
    ];

    [Fact]
    public async Task ASessionGoesOnAfterEveryKindOfOutageAndNothingSoundsOn()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await OutageCampaign.Prepare(cancellation);
        var random = new Random(1);
        foreach (var (kind, seconds) in _outages)
        {
            var figures = await OutageCampaign.Run(rig, kind, TimeSpan.FromSeconds(seconds), TimeSpan.FromSeconds(1 + random.NextDouble()), cancellation);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{kind} for {seconds} s: silent {figures.Silence.TotalSeconds:0.000} s after it began, back {figures.Back.TotalSeconds:0.00} s after it ended."));
            Assert.True(figures.Silence <= _silent, $"{kind}: sound went on for {figures.Silence.TotalSeconds:0.000} s.");
        }

        await rig.Agent.Kill(cancellation);
        await rig.Agent.Start("fast", enrolmentCode: null, cancellation);
        var end = await rig.Clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.True(end.Closed, end.Sentence);
        await WholeLog.AssertOf(rig.Link, rig.Hub.Session, cancellation);
    }
}
