using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>Peers that flood, stall, send far too much or never finish, while another session is tested from its beginning to its close.</summary>
[Collection(Alone.Name)]
[Trait("Kind", "EndToEnd")]
public sealed class BadPeerTests(ITestOutputHelper output)
{
    private const int TenMegabytes = 10 * 1024 * 1024;
    private const int HalfOpenSockets = 200;
    private const int StalledReaders = 5;
    private const int CallsAtATime = 8;

    [Fact]
    public async Task ASessionIsTestedToItsCloseWhileOthersFloodStallAndSendTooMuch()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        await using var other = await rig.Hub.SignIn(cancellation);
        using var bad = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        var sockets = await BadPeers.HalfOpen(rig.Hub.Port, HalfOpenSockets, cancellation);
        var stalled = await Task.WhenAll(Enumerable.Range(0, StalledReaders).Select(_ => BadPeers.StalledReader(rig.Hub.Address, other.Cookies, rig.Hub.Session, cancellation)));
        var flood = BadPeers.Flood(other, CallsAtATime, bad.Token);
        var large = LargeMessages(rig, other, bad.Token, cancellation);

        var end = await rig.Clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        await bad.CancelAsync();

        Assert.True(end.Closed, $"{end.Sentence}\nagent:\n{rig.Agent.Process.Text()}\nhub:\n{rig.Hub.Process.Text()}");
        Assert.Equal(4, end.View.Thresholds.Count);
        Assert.True(end.View.Integrity.Valid);
        await WholeLog.AssertOf(rig.Link, rig.Hub.Session, cancellation);
        var (ended, answered) = (await large, await flood);
        output.WriteLine($"{ended} messages of 10 MB ended their connections, {answered} calls of a flood were answered, {HalfOpenSockets} sockets stood half open, {StalledReaders} readers stalled.");
        Assert.True(ended > 0 && answered > 0, "Nothing bad happened, so nothing is shown.");
        foreach (var socket in sockets)
        {
            socket.Dispose();
        }

        foreach (var socket in stalled)
        {
            socket.Dispose();
        }
    }

    /// <summary>One after the other: each must end its own connection, and no other. What was begun when told to end is still seen to its end, since the hub may take seconds to hang up on a large post.</summary>
    private static async Task<int> LargeMessages(SessionRig rig, Hub.Cli.Clinician.ConsoleLink other, CancellationToken told, CancellationToken cancellationToken)
    {
        var ended = 0;
        do
        {
            Assert.Contains(await BadPeers.Large(rig.Hub.Address, other.Cookies, TenMegabytes, cancellationToken), new[] { "closed", "reset" });
            Assert.NotEqual(System.Net.HttpStatusCode.OK, await BadPeers.LargePost(rig.Hub.Address, TenMegabytes, cancellationToken));
            ended++;
        }
        while (!told.IsCancellationRequested);
        return ended;
    }
}
