using System.Globalization;
using System.Net.Sockets;
using System.Net;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>The demonstration as a user starts it.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class DemoTests
{
    private const string LastLine = "Ctrl-C ends everything";
    private const int ConsolePort = 5080;

    [Fact]
    public async Task ASecondStartFindsTheSameClinicAndDoublesNothing()
    {
        var cancellation = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();

        var first = await StartSignInAndEnd(folder, cancellation);
        var second = await StartSignInAndEnd(folder, cancellation);

        Assert.Equal(first.Sessions.Select(session => session.SessionId), second.Sessions.Select(session => session.SessionId));
        Assert.Equal(first.Kits.Select(kit => kit.KitId), second.Kits.Select(kit => kit.KitId));
        Assert.NotEmpty(first.Sessions);
        Assert.Contains(first.Kits, kit => kit.Online);
        Assert.Contains(second.Kits, kit => kit.Online);
    }

    [Fact]
    public async Task TheKitEndsWithTheHubEvenWhenTheHubIsKilled()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "The child is found through /proc.");
        var cancellation = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();
        await using var demo = Start(folder);
        await demo.WaitForLine(LastLine, Limits.Start, cancellation);
        var agent = Assert.Single(ChildrenOf(demo.Id));

        demo.KillHard();

        await Eventually.Holds(() => !RealProcess.IsAlive(agent), "the site agent ends with its hub", Limits.End, cancellation);
    }

    [Fact]
    public async Task APortInUseIsReplacedByTheNextFreeOneAndSaid()
    {
        var cancellation = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();
        using var taken = TryOccupy(ConsolePort);
        await using var demo = Start(folder);
        await demo.WaitForLine(LastLine, Limits.Start, cancellation);

        var console = demo.Lines.Single(line => line.StartsWith("  console", StringComparison.Ordinal));
        Assert.DoesNotContain(string.Create(CultureInfo.InvariantCulture, $"localhost:{ConsolePort}/"), console, StringComparison.Ordinal);
        Assert.Contains(string.Create(CultureInfo.InvariantCulture, $"port {ConsolePort} is in use"), console, StringComparison.Ordinal);
    }

    private static RealProcess Start(TempFolder folder) =>
        RealProcess.Dotnet(BuiltPrograms.Hub, "demo", "--data", folder.Inside("demo"), "--pace", "fast");

    private static async Task<BoardView> StartSignInAndEnd(TempFolder folder, CancellationToken cancellation)
    {
        await using var demo = Start(folder);
        await demo.WaitForLine(LastLine, Limits.Start, cancellation);
        var link = new Uri(demo.Lines.Single(line => line.StartsWith("  clinician,", StringComparison.Ordinal)).Split(' ')[^1]);
        await using var console = new ConsoleLink(new Uri(link, "/"), TimeProvider.System);
        await console.SignIn(link, cancellation);
        var board = await console.Board(cancellation);

        demo.Interrupt();

        Assert.Equal(0, await demo.WaitForExit(Limits.End, cancellation));
        return board;
    }

    /// <summary>Holds the port; when another program holds it already that does as well.</summary>
    private static TcpListener? TryOccupy(int port)
    {
        var listener = new TcpListener(IPAddress.Loopback, port);
        try
        {
            listener.Start();
            return listener;
        }
        catch (SocketException)
        {
            listener.Dispose();
            return null;
        }
    }

    /// <summary>Ids of the processes a process has started (proc(5): the fourth field of stat is the parent).</summary>
    private static IEnumerable<int> ChildrenOf(int parent)
    {
        foreach (var folder in Directory.EnumerateDirectories("/proc"))
        {
            if (!int.TryParse(Path.GetFileName(folder), CultureInfo.InvariantCulture, out var id))
            {
                continue;
            }

            string stat;
            try
            {
                stat = File.ReadAllText(Path.Combine(folder, "stat"));
            }
            catch (IOException)
            {
                // It ended while the list was read.
                continue;
            }

            // The name in brackets may hold anything; what follows the last bracket is plain.
            var fields = stat[(stat.LastIndexOf(')') + 2)..].Split(' ');
            if (int.Parse(fields[1], CultureInfo.InvariantCulture) == parent)
            {
                yield return id;
            }
        }
    }
}
