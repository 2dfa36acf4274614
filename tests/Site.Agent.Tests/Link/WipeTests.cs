using System.Security.Cryptography;
using System.Text;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Link;

/// <summary>What is left of a session on a kit: nothing once it is over, and before that nothing that whoever has the disk could read.</summary>
public sealed class WipeTests
{
    /// <summary>Marks that reach the kit in a session, and names of what it writes down.</summary>
    private static readonly string[] _marks = ["Ottilie", "Brandvold", "Maren Toft", "trial-done", "step-ended", "levelDbHl", "reactionMs"];

    private static PresentToneStep Tone => new(Ear.Right, 1000, 40, ToneShape.Pulsed, 1000);

    [Fact]
    public async Task AfterASessionTheKitHandsOverTheRestWipesAttestsAndGoesOnWithAnEmptyJournal()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await hub.UntilAsync(h => !h.Hellos.IsEmpty);
        var held = new TaskCompletionSource();
        hub.Holds = held.Task;
        var order = hub.Order(Tone);
        await hub.CarryAsync(order);
        await Wait.UntilAsync(() => agent.Get<KitJournal>().Pending(10).Any(entry => entry.Report is StepEnded));
        var before = agent.Get<KitJournal>().JournalId;

        // Asked while the hub lacks reports: nothing is wiped before it has confirmed them.
        await hub.ShowAsync(hub.Scene with { Stage = SessionStage.Closed });
        await hub.AskToWipeAsync();
        Assert.Empty(hub.Wiped);
        Assert.Equal(before, agent.Get<KitJournal>().JournalId);
        held.SetResult();
        await hub.UntilAsync(h => !h.Wiped.IsEmpty);

        var word = hub.Wiped.First();
        Assert.Equal([hub.Session], word.Sessions);
        Assert.Equal(before, word.JournalId);
        Assert.InRange(word.LastSequence, 1, hub.Held.Count);
        Assert.NotNull(hub.Find<StepEnded>(end => end.StepId == order.StepId));
        await Wait.UntilAsync(() => agent.Get<KitJournal>().IsOpen);
        Assert.Equal(word.NextJournal, agent.Get<KitJournal>().JournalId);

        var next = hub.Order(new CheckKitStep(), 2);
        await hub.CarryAsync(next);
        await hub.EndOfAsync(next.StepId);
        Assert.Single(hub.Hellos);
    }

    [Fact]
    public async Task OneWipeIsOneForEveryOrderThatWaitsForTheEndOfASession()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Link == LinkState.Linked);
        var before = SessionId.New();

        // A session goes on by the time the kit is asked about the one before it: that order waits.
        await hub.AskToWipeAsync(before);
        var order = hub.Order(new CheckKitStep());
        await hub.CarryAsync(order);
        await hub.EndOfAsync(order.StepId);
        Assert.Empty(hub.Wiped);
        await hub.AskToWipeAsync();
        await hub.UntilAsync(h => !h.Wiped.IsEmpty);

        Assert.Equal([before, hub.Session], hub.Wiped.First().Sessions);
    }

    [Fact]
    public async Task WhoHasTheDiskReadsNothingOfAPersonDuringASessionInTheMiddleOfItAndAfterIt()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        hub.Scene = hub.Scene with { Message = "Ottilie Brandvold, please sit down." };
        var options = RunningAgent.OptionsFor(folder, hub.Address) with { RecordPath = null };
        var held = new TaskCompletionSource();
        byte[] key;
        await using (var agent = await RunningAgent.StartAsync(options))
        {
            await hub.UntilAsync(h => !h.Hellos.IsEmpty);
            key = SHA256.HashData(hub.Hellos.First().JournalId.Value.ToByteArray());

            // Nothing is confirmed from here on, so the journal keeps everything: the most a thief can find.
            hub.Holds = held.Task;
            var order = hub.Order(Tone);
            await hub.CarryAsync(order);
            await Wait.UntilAsync(() => agent.Get<KitJournal>().Pending(10).Any(entry => entry.Report is StepStarted));
            using var middle = Copy(folder);
            await Wait.UntilAsync(() => agent.Get<KitJournal>().Pending(10).Any(entry => entry.Report is StepEnded));
            using var open = Copy(folder);

            AssertUnreadable(middle, key);
            AssertUnreadable(open, key);
            Assert.NotEmpty(Frames(open));
        }

        // Ended as it stood, and started again by whoever has it, without a hub.
        using var ended = Copy(folder);
        AssertUnreadable(ended, key);
        Assert.NotEmpty(Frames(ended));

        held.SetResult();
        hub.Scene = hub.Scene with { Stage = SessionStage.Closed, Message = null };
        await using (var agent = await RunningAgent.StartAsync(options))
        {
            await hub.UntilAsync(h => h.Hellos.Count > 1 && h.Find<StepEnded>(_ => true) is not null);
            await hub.AskToWipeAsync();
            await hub.UntilAsync(h => !h.Wiped.IsEmpty);
            using var closed = Copy(folder);
            AssertUnreadable(closed, key);
            Assert.Empty(Frames(closed));
            Assert.DoesNotContain(Directory.GetFiles(closed.Path, "*", SearchOption.AllDirectories), path => path.EndsWith(".bin", StringComparison.Ordinal) && new FileInfo(path).Length > 0);
        }
    }

    /// <summary>No mark stands in any byte of the folder, and no 32 bytes of it, nor the hash of any file, open any entry; the key in the hub's hands does.</summary>
    private static void AssertUnreadable(TempFolder folder, byte[] key)
    {
        var files = Directory.GetFiles(folder.Path, "*", SearchOption.AllDirectories).ToDictionary(path => path, File.ReadAllBytes);
        foreach (var (path, bytes) in files)
        {
            foreach (var mark in _marks)
            {
                Assert.True(bytes.AsSpan().IndexOf(Encoding.UTF8.GetBytes(mark)) < 0, $"\"{mark}\" stands in {Path.GetFileName(path)}");
                Assert.True(bytes.AsSpan().IndexOf(Encoding.Unicode.GetBytes(mark)) < 0, $"\"{mark}\" stands in {Path.GetFileName(path)}");
            }
        }

        var journal = Journal(folder);
        foreach (var frame in Frames(folder).TakeLast(1))
        {
            Assert.True(Opens(key, journal, frame), "the right key opens nothing: the test shows nothing");
            foreach (var bytes in files.Values)
            {
                Assert.False(Opens(SHA256.HashData(bytes), journal, frame));
                for (var place = 0; place + 32 <= bytes.Length; place++)
                {
                    Assert.False(Opens(bytes.AsSpan(place, 32), journal, frame));
                }
            }
        }
    }

    private static bool Opens(ReadOnlySpan<byte> key, JournalId journal, byte[] frame)
    {
        using var cipher = new AesGcm(key, tagSizeInBytes: 16);
        try
        {
            JournalFrame.Open(cipher, journal, frame);
            return true;
        }
        catch (AuthenticationTagMismatchException)
        {
            return false;
        }
    }

    private static IReadOnlyList<byte[]> Frames(TempFolder folder) => JournalFrame.Split(File.ReadAllBytes(folder.Inside("journal.bin"))).Bodies;

    private static JournalId Journal(TempFolder folder)
    {
        using var header = System.Text.Json.JsonDocument.Parse(File.ReadAllBytes(folder.Inside("journal.json")));
        return new JournalId(header.RootElement.GetProperty("journalId").GetGuid());
    }

    private static TempFolder Copy(TempFolder folder)
    {
        var copy = new TempFolder();
        foreach (var path in Directory.GetFiles(folder.Path, "*", SearchOption.AllDirectories))
        {
            var to = Path.Combine(copy.Path, Path.GetRelativePath(folder.Path, path));
            Directory.CreateDirectory(Path.GetDirectoryName(to)!);
            using var from = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
            using var into = File.Create(to);
            from.CopyTo(into);
        }

        return copy;
    }
}
