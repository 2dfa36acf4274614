using System.Security.Cryptography;
using Microsoft.Extensions.Logging.Abstractions;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Journal;

public sealed class KitJournalTests
{
    private static readonly byte[] _key = [.. Enumerable.Range(0, 32).Select(value => (byte)value)];
    private static readonly SessionId _session = SessionId.New();

    private static KitJournal Load(TempFolder folder, IDurableFiles? files = null) => KitJournal.Load(folder.Path, files ?? new DurableFiles(), NullLogger<KitJournal>.Instance);

    private static KitJournal Open(TempFolder folder, IDurableFiles? files = null)
    {
        var journal = Load(folder, files);
        Assert.Equal(UnlockOutcome.Opened, journal.Unlock(_key));
        return journal;
    }

    private static void Write(KitJournal journal, int count)
    {
        for (var index = 0; index < count; index++)
        {
            journal.Append(_session, index, new AssistantDone(SessionStage.EarLook));
        }
    }

    [Fact]
    public void FactsSurviveARestartInOrderAndWithoutGaps()
    {
        using var folder = new TempFolder();
        using (var journal = Open(folder))
        {
            Write(journal, 5);
        }

        using var again = Open(folder);

        Assert.Equal(5, again.LastSequence);
        Assert.Equal([1L, 2, 3, 4, 5], again.Pending(10).Select(entry => entry.Sequence));
        Assert.Equal(6, again.Append(_session, 1, new HelpCalled()).Sequence);
    }

    [Fact]
    public void ATailTornAtAnyByteIsCutAndEverythingBeforeItStays()
    {
        using var folder = new TempFolder();
        var lengths = new List<long>();
        using (var journal = Open(folder))
        {
            for (var index = 0; index < 3; index++)
            {
                Write(journal, 1);
                lengths.Add(new FileInfo(folder.Inside("journal.bin")).Length);
            }
        }

        var whole = File.ReadAllBytes(folder.Inside("journal.bin"));
        for (var length = 0; length <= whole.Length; length++)
        {
            File.WriteAllBytes(folder.Inside("journal.bin"), whole[..length]);
            using var torn = Open(folder);
            var expected = lengths.Count(end => end <= length);

            Assert.Equal(expected, torn.LastSequence);
            Assert.Equal(expected, torn.Pending(10).Count);
            Assert.Equal(expected + 1, torn.Append(_session, 1, new HelpCalled()).Sequence);
        }
    }

    [Fact]
    public void AFlippedByteInAnEntryEndsTheSoundPartBeforeIt()
    {
        using var folder = new TempFolder();
        using (var journal = Open(folder))
        {
            Write(journal, 3);
        }

        var bytes = File.ReadAllBytes(folder.Inside("journal.bin"));
        bytes[(bytes.Length / 2) + 4] ^= 1;
        File.WriteAllBytes(folder.Inside("journal.bin"), bytes);

        using var damaged = Open(folder);

        Assert.Equal(1, damaged.LastSequence);
    }

    [Fact]
    public void TheFileHoldsNothingReadable()
    {
        using var folder = new TempFolder();
        using var journal = Open(folder);
        journal.Append(_session, 1, new StepEnded(StepId.New(), StepEnding.Failed, RefusalCodes.SoundFault, "A sentence to look for.", null));

        var everything = string.Concat(Directory.GetFiles(folder.Path).Select(path => System.Text.Encoding.Latin1.GetString(File.ReadAllBytes(path))));

        Assert.DoesNotContain("sentence", everything, StringComparison.Ordinal);
        Assert.DoesNotContain("step-ended", everything, StringComparison.Ordinal);
        Assert.DoesNotContain(_session.ToString(), everything, StringComparison.Ordinal);
    }

    [Fact]
    public void AnotherKeyOpensNothingAndChangesNothing()
    {
        using var folder = new TempFolder();
        using (var journal = Open(folder))
        {
            Write(journal, 2);
        }

        var before = File.ReadAllBytes(folder.Inside("journal.bin"));
        using var locked = Load(folder);

        Assert.Equal(UnlockOutcome.WrongKey, locked.Unlock(RandomNumberGenerator.GetBytes(32)));
        Assert.False(locked.IsOpen);
        Assert.Equal(before, File.ReadAllBytes(folder.Inside("journal.bin")));
        Assert.Equal(UnlockOutcome.Opened, locked.Unlock(_key));
        Assert.Equal(2, locked.Pending(10).Count);
    }

    [Fact]
    public void AnEntryMovedIntoAnotherJournalDoesNotOpen()
    {
        using var one = new TempFolder();
        using var other = new TempFolder();
        using (var journal = Open(one))
        {
            Write(journal, 1);
        }

        using (Load(other))
        {
            // only to make its own id
        }

        File.Copy(one.Inside("journal.bin"), other.Inside("journal.bin"), overwrite: true);
        using var foreign = Load(other);

        Assert.Equal(UnlockOutcome.WrongKey, foreign.Unlock(_key));
    }

    [Fact]
    public void WhatWasNotAcknowledgedBeforeACrashIsPendingAfterIt()
    {
        using var folder = new TempFolder();
        using (var journal = Open(folder))
        {
            Write(journal, 4);
            journal.Acknowledge(2);
        }

        using var again = Open(folder);

        Assert.Equal(2, again.AcknowledgedSequence);
        Assert.Equal([3L, 4], again.Pending(10).Select(entry => entry.Sequence));
    }

    [Fact]
    public void TheFileIsMadeAnewWhenAllIsAcknowledgedAndSequencesGoOn()
    {
        using var folder = new TempFolder();
        using (var journal = Open(folder))
        {
            Write(journal, 3);
            journal.Acknowledge(3);
            Assert.Equal(0, new FileInfo(folder.Inside("journal.bin")).Length);
            Assert.Equal(4, journal.Append(_session, 1, new HelpCalled()).Sequence);
        }

        using var again = Open(folder);

        Assert.Equal([4L], again.Pending(10).Select(entry => entry.Sequence));
    }

    [Fact]
    public void ACrashBetweenAcknowledgementAndCompactionLosesNothing()
    {
        using var folder = new TempFolder();
        byte[] full;
        using (var journal = Open(folder))
        {
            Write(journal, 3);
            full = File.ReadAllBytes(folder.Inside("journal.bin"));
            journal.Acknowledge(3);
        }

        // the header is already the new one, the file still the old one
        File.WriteAllBytes(folder.Inside("journal.bin"), full);
        using var again = Open(folder);

        Assert.Empty(again.Pending(10));
        Assert.Equal(4, again.Append(_session, 1, new HelpCalled()).Sequence);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(5)]
    [InlineData(40)]
    [InlineData(int.MaxValue)]
    public void AFullDiskRefusesTheFactAndKeepsTheFileSound(int stillFit)
    {
        using var folder = new TempFolder();
        var files = new FailingFiles();
        using (var journal = Open(folder, files))
        {
            Write(journal, 2);
            (files.Full, files.StillFit) = (true, stillFit);
            Assert.Throws<StorageFaultException>(() => Write(journal, 1));
            Assert.Equal(2, journal.LastSequence);
            Assert.Equal(2, journal.Pending(10).Count);

            files.Full = false;
            Assert.Equal(3, journal.Append(_session, 9, new HelpCalled()).Sequence);
        }

        using var again = Open(folder);
        Assert.Equal([1L, 2, 3], again.Pending(10).Select(entry => entry.Sequence));
        Assert.IsType<HelpCalled>(again.Pending(10)[2].Report);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void AKitStartsOnADiskThatTakesNothingAndCutsATornTailWithItsNextFact(bool torn)
    {
        using var folder = new TempFolder();
        using (var journal = Open(folder))
        {
            Write(journal, 3);
        }

        var whole = File.ReadAllBytes(folder.Inside("journal.bin"));
        File.WriteAllBytes(folder.Inside("journal.bin"), torn ? whole[..^5] : whole);
        var kept = torn ? 2 : 3;
        var disk = new FailingFiles { Full = true };
        using (var started = Open(folder, disk))
        {
            Assert.Equal(kept, started.Pending(10).Count);
            Assert.Throws<StorageFaultException>(() => Write(started, 1));
            disk.Full = false;
            Write(started, 1);
        }

        using var again = Open(folder);

        Assert.Equal(kept + 1, again.LastSequence);
        Assert.Equal(kept + 1, again.Pending(10).Count);
    }

    [Fact]
    public void AnAcknowledgementThatTheDiskRefusedCountsUntilARestart()
    {
        using var folder = new TempFolder();
        var disk = new FailingFiles();
        using (var journal = Open(folder, disk))
        {
            Write(journal, 2);
            disk.Full = true;
            Assert.Throws<StorageFaultException>(() => journal.Acknowledge(2));
            Assert.Equal(2, journal.AcknowledgedSequence);
            Assert.Empty(journal.Pending(10));
        }

        using (var again = Open(folder))
        {
            // The disk knows nothing of it: what the hub holds already is sent again.
            Assert.Equal(2, again.Pending(10).Count);
        }

        disk.Full = false;
        using var wiped = Open(folder, disk);
        disk.Full = true;
        Assert.Throws<StorageFaultException>(() => wiped.Acknowledge(2));
        disk.Full = false;
        Assert.Equal(2, wiped.TryWipe()!.LastSequence);
    }

    [Fact]
    public void AForgottenKeyLeavesNothingReadableInMemory()
    {
        using var folder = new TempFolder();
        using var journal = Open(folder);
        Write(journal, 2);

        journal.Forget();

        Assert.False(journal.IsOpen);
        Assert.Empty(journal.Pending(10));
        Assert.Throws<InvalidOperationException>(() => Write(journal, 1));
    }

    [Fact]
    public void AJournalLaidAsideIsKeptSealedAndANewOneBegins()
    {
        using var folder = new TempFolder();
        using var journal = Open(folder);
        Write(journal, 2);
        var old = journal.JournalId;

        var unsent = journal.SetAside();

        Assert.Equal(2, unsent.Count);
        Assert.False(journal.IsOpen);
        Assert.NotEqual(old, journal.JournalId);
        Assert.Equal(0, journal.LastSequence);
        Assert.True(new FileInfo(folder.Inside($"set-aside-{old}.bin")).Length > 0);
    }

    [Fact]
    public void AWipeKeepsAJournalLaidAsideThatNobodyConfirmedUntilItIsGivenUp()
    {
        using var folder = new TempFolder();
        JournalId lost;
        using (var first = Open(folder))
        {
            Write(first, 2);
            lost = first.JournalId;
        }

        // Another key than the one it was sealed with: its entries cannot be read, and no hub holds them.
        using var journal = KitJournal.Load(folder.Path, new DurableFiles(), NullLogger<KitJournal>.Instance);
        Assert.Equal(UnlockOutcome.WrongKey, journal.Unlock(RandomNumberGenerator.GetBytes(32)));
        Assert.Empty(journal.SetAside());

        Assert.Equal(1, journal.TryWipe()!.LaidAside);
        Assert.True(new FileInfo(folder.Inside($"set-aside-{lost}.bin")).Length > 0);
        Assert.Equal(0, journal.TryWipe(giveUp: true)!.LaidAside);
        Assert.Empty(Directory.GetFiles(folder.Path, "set-aside-*.bin"));
    }

    [Fact]
    public void AWipeTakesAJournalLaidAsideWhoseEntriesWentIntoTheNext()
    {
        using var folder = new TempFolder();
        using var journal = Open(folder);
        Write(journal, 2);
        Assert.Equal(2, journal.SetAside().Count);

        Assert.Equal(0, journal.TryWipe()!.LaidAside);
        Assert.Empty(Directory.GetFiles(folder.Path, "set-aside-*.bin"));
    }

    [Fact]
    public void AFactThatTheDiskRefusedIsWrittenLaterBeforeAnythingNewer()
    {
        using var folder = new TempFolder();
        var files = new FailingFiles();
        using var journal = Open(folder, files);
        var facts = new FactWriter(journal, () => 5, NullLogger<FactWriter>.Instance);
        files.Full = true;

        Assert.False(facts.WriteOrOwe(_session, new HelpCalled()));
        Assert.True(facts.Owes);
        files.Full = false;
        facts.Write(_session, new StopPressed());

        Assert.Equal([typeof(HelpCalled), typeof(StopPressed)], journal.Pending(10).Select(entry => entry.Report.GetType()));
    }

    [Fact]
    public async Task WhoeverWaitsForSomethingToSendLooksAgainWhenTheDiskRefusesAFact()
    {
        using var folder = new TempFolder();
        var files = new FailingFiles();
        using var journal = Open(folder, files);
        var facts = new FactWriter(journal, () => 5, NullLogger<FactWriter>.Instance);
        await journal.WaitForMoreAsync(TestContext.Current.CancellationToken);
        var waiting = journal.WaitForMoreAsync(TestContext.Current.CancellationToken);
        Assert.False(waiting.IsCompleted);
        files.Full = true;

        facts.WriteOrOwe(_session, new HelpCalled());

        await waiting;
    }

    [Fact]
    public void TheCheckSumIsTheOneOfTheStandard()
    {
        // check value of CRC-32 (ITU-T V.42) for the digits 1 to 9
        Assert.Equal(0xCBF43926u, Crc32.Of("123456789"u8));
    }
}
