using System.Security.Cryptography;
using System.Text.Json;
using System.Threading.Channels;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Journal;

/// <summary>Whether the key the hub gave opens the journal.</summary>
internal enum UnlockOutcome
{
    Opened,

    /// <summary>Another key sealed the entries; nothing was changed.</summary>
    WrongKey,
}

/// <summary>A journal that was wiped.</summary>
/// <param name="JournalId">Its id.</param>
/// <param name="LastSequence">Its last sequence.</param>
/// <param name="LaidAside">Files that were laid aside before it and stay: they hold entries that no hub has confirmed.</param>
internal sealed record WipedJournal(JournalId JournalId, long LastSequence, int LaidAside);

/// <summary>The kit's append-only record of facts. A fact is on the disk, sealed, before anything of it is sent.</summary>
/// <remarks>
/// Called from the step loop, the link and the screen; one lock orders them. The key comes from the hub and lives in memory only. Sequences
/// run without gaps; the file holds those not yet acknowledged and is made anew when all are. A torn tail, as a power cut leaves it, is cut at start:
/// what is cut was never sent.
/// </remarks>
internal sealed partial class KitJournal : IDisposable
{
    private const string FileName = "journal.bin";
    private const string HeaderName = "journal.json";
    private readonly string _folder;
    private readonly IDurableFiles _files;
    private readonly ILogger<KitJournal> _logger;
    private readonly Lock _lock = new();
    private readonly Channel<bool> _appended = Channel.CreateBounded<bool>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropWrite });
    private readonly List<JournaledReport> _pending = [];
    private List<byte[]> _sealed = [];

    // Files laid aside of which everything went into the journal that followed.
    private readonly HashSet<string> _handedOn = new(StringComparer.Ordinal);
    private Stream? _file;
    private long _length;
    private AesGcm? _cipher;
    private Header _header;

    private KitJournal(string folder, IDurableFiles files, ILogger<KitJournal> logger, Header header)
    {
        (_folder, _files, _logger, _header) = (folder, files, logger, header);
        LastSequence = AcknowledgedSequence = header.AcknowledgedSequence;
    }

    /// <summary>Id of this journal.</summary>
    public JournalId JournalId => _header.JournalId;

    /// <summary>Last sequence on the disk; 0 when nothing was ever written.</summary>
    public long LastSequence { get; private set; }

    /// <summary>Last sequence the hub holds. What it said counts also when the disk did not take it: after a restart the kit sends again what the disk knows nothing of.</summary>
    public long AcknowledgedSequence { get; private set; }

    /// <summary>Whether the key is there, so that facts can be written.</summary>
    public bool IsOpen
    {
        get
        {
            lock (_lock)
            {
                return _cipher is not null;
            }
        }
    }

    /// <summary>Reads what is on the disk. Needs no key, and no disk that takes anything once there is a journal.</summary>
    /// <exception cref="StorageFaultException">The folder cannot be read, or a first journal cannot be begun in it.</exception>
    public static KitJournal Load(string folder, IDurableFiles files, ILogger<KitJournal> logger) => StorageFaultException.Guard(() =>
    {
        var path = Path.Combine(folder, HeaderName);
        var header = files.ReadWhole(path) is { } bytes ? Parse(bytes) : null;
        if (header is null)
        {
            // without its header nobody can say what the entries of an older file were bound to
            header = new Header(JournalId.New(), 0);
            files.Rename(Path.Combine(folder, FileName), Path.Combine(folder, $"unreadable-{header.JournalId}.bin"));
            files.Replace(path, JsonSerializer.SerializeToUtf8Bytes(header, Protocol.Json));
        }

        var journal = new KitJournal(folder, files, logger, header);
        journal.ReadFile();
        return journal;
    });

    /// <summary>Opens the entries with the key the hub gave.</summary>
    public UnlockOutcome Unlock(byte[] key)
    {
        lock (_lock)
        {
            var cipher = new AesGcm(key, tagSizeInBytes: 16);
            try
            {
                var opened = _sealed.Select(body => JsonSerializer.Deserialize<JournaledReport>(JournalFrame.Open(cipher, JournalId, body), Protocol.Json)!).ToList();
                _pending.AddRange(opened.Where(report => report.Sequence > AcknowledgedSequence));
                _sealed = [];
            }
            catch (Exception fault) when (fault is AuthenticationTagMismatchException or JsonException)
            {
                cipher.Dispose();
                return UnlockOutcome.WrongKey;
            }

            _cipher?.Dispose();
            _cipher = cipher;
        }

        _appended.Writer.TryWrite(true);
        return UnlockOutcome.Opened;
    }

    /// <summary>Forgets the key and everything read with it, as a revoked kit must.</summary>
    public void Forget()
    {
        lock (_lock)
        {
            _cipher?.Dispose();
            _cipher = null;
            _pending.Clear();
            ReadFile();
        }
    }

    /// <summary>Starts a new journal under a new id, closed until the hub gives its key, and lays the old file aside, still sealed.</summary>
    /// <returns>Facts the hub does not hold, as far as they could be read; they are to be written into the new journal.</returns>
    public IReadOnlyList<JournaledReport> SetAside()
    {
        List<JournaledReport> unsent;
        lock (_lock)
        {
            unsent = [.. _pending];
            StorageFaultException.Guard(() =>
            {
                _file?.Dispose();
                _file = null;
                var aside = Path.Combine(_folder, $"set-aside-{JournalId}.bin");
                _files.Rename(Path.Combine(_folder, FileName), aside);
                if (Entries(aside) == unsent.Count)
                {
                    _handedOn.Add(aside);
                }

                WriteHeader(new Header(JournalId.New(), 0));
                // every journal has a key of its own
                _cipher?.Dispose();
                _cipher = null;
                _pending.Clear();
                LastSequence = 0;
                ReadFile();
            });
        }

        Log.SetAside(_logger);
        return unsent;
    }

    /// <summary>Wipes the journal, and those laid aside before it, when the hub holds everything of it: overwrites and deletes the files, forgets the key, and begins an empty one under a new id, closed until the hub gives its key. What was laid aside with entries that no hub has confirmed stays: it may be all there is of them.</summary>
    /// <param name="giveUp">Whether somebody at the clinic gave up what was laid aside: then it is wiped as well.</param>
    /// <returns>Id and last sequence of what was wiped, and how many files stay; absent when something is not confirmed yet, and then nothing was done.</returns>
    /// <exception cref="StorageFaultException">The disk does not let it; it is tried again.</exception>
    public WipedJournal? TryWipe(bool giveUp = false)
    {
        lock (_lock)
        {
            if (_pending.Count > 0 || _sealed.Count > 0 || AcknowledgedSequence != LastSequence)
            {
                return null;
            }

            var (journal, last, kept) = (JournalId, LastSequence, 0);
            StorageFaultException.Guard(() =>
            {
                _file?.Dispose();
                _file = null;
                _files.Wipe(Path.Combine(_folder, FileName));
                // whatever fails after this, the file begins anew
                _length = 0;
                foreach (var aside in _files.Find(_folder, "set-aside-*.bin").Concat(_files.Find(_folder, "unreadable-*.bin")))
                {
                    if (giveUp || _handedOn.Contains(aside) || Entries(aside) == 0)
                    {
                        _files.Wipe(aside);
                    }
                    else
                    {
                        kept++;
                    }
                }

                WriteHeader(new Header(JournalId.New(), 0));
                _cipher?.Dispose();
                _cipher = null;
                LastSequence = 0;
                ReadFile();
            });
            Log.Wiped(_logger);
            return new WipedJournal(journal, last, kept);
        }
    }

    /// <summary>Writes a fact and returns it with its sequence, once it is on the disk.</summary>
    /// <param name="sessionId">Session it belongs to.</param>
    /// <param name="kitMs">Kit clock in ms.</param>
    /// <param name="report">The fact.</param>
    /// <param name="beforeSending">Further durable work that must be done before the fact can reach the hub.</param>
    /// <exception cref="StorageFaultException">It could not be written; the file is as it was before.</exception>
    /// <exception cref="InvalidOperationException">The key is not there.</exception>
    public JournaledReport Append(SessionId? sessionId, double kitMs, KitReport report, Action? beforeSending = null)
    {
        JournaledReport entry;
        lock (_lock)
        {
            var cipher = _cipher ?? throw new InvalidOperationException("The journal's key is not there.");
            entry = new JournaledReport(LastSequence + 1, sessionId, kitMs, report);
            var frame = JournalFrame.Seal(cipher, JournalId, entry.Sequence, JsonSerializer.SerializeToUtf8Bytes(entry, Protocol.Json));
            StorageFaultException.Guard(() => WriteFrame(frame));
            LastSequence = entry.Sequence;
            try
            {
                beforeSending?.Invoke();
            }
            finally
            {
                // it is on the disk under its sequence, so it must go out whatever happened beside it
                _pending.Add(entry);
            }
        }

        _appended.Writer.TryWrite(true);
        return entry;
    }

    /// <summary>Facts the hub does not hold yet, oldest first.</summary>
    public IReadOnlyList<JournaledReport> Pending(int atMost)
    {
        lock (_lock)
        {
            return [.. _pending.Take(atMost)];
        }
    }

    /// <summary>The hub holds everything up to a sequence. Older news is ignored.</summary>
    /// <exception cref="StorageFaultException">The disk did not take it; it counts all the same.</exception>
    public void Acknowledge(long sequence)
    {
        lock (_lock)
        {
            if (sequence <= AcknowledgedSequence || sequence > LastSequence)
            {
                return;
            }

            _pending.RemoveAll(entry => entry.Sequence <= sequence);
            AcknowledgedSequence = sequence;
            StorageFaultException.Guard(() =>
            {
                WriteHeader(_header with { AcknowledgedSequence = sequence });
                if (sequence == LastSequence && _length > 0 && _cipher is not null)
                {
                    Compact();
                }
            });
        }
    }

    /// <summary>Has whoever waits look again.</summary>
    public void Wake() => _appended.Writer.TryWrite(true);

    /// <summary>Waits until something may have been added.</summary>
    public async Task WaitForMoreAsync(CancellationToken cancellationToken) => await _appended.Reader.ReadAsync(cancellationToken);

    public void Dispose()
    {
        _cipher?.Dispose();
        _file?.Dispose();
    }

    /// <summary>Whole entries of a file.</summary>
    private int Entries(string path) => JournalFrame.Split(_files.ReadWhole(path) ?? []).Bodies.Count;

    private static Header? Parse(byte[] bytes)
    {
        try
        {
            return JsonSerializer.Deserialize<Header>(bytes, Protocol.Json);
        }
        catch (JsonException)
        {
            return null;
        }
    }

    /// <summary>What can be known without the key: ids and counts, nothing about a person.</summary>
    private sealed record Header(JournalId JournalId, long AcknowledgedSequence);

    private static partial class Log
    {
        [LoggerMessage(EventId = 2101, Level = LogLevel.Warning, Message = "The journal had a torn tail of {Bytes} bytes; it was cut. Nothing of it was ever sent.")]
        public static partial void TornTail(ILogger logger, long bytes);

        [LoggerMessage(EventId = 2105, Level = LogLevel.Error, Message = "The disk did not let the journal be opened for writing; the kit goes on, and the next write opens it.")]
        public static partial void NotOpened(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 2104, Level = LogLevel.Error, Message = "The disk did not let the torn tail be cut; the next write cuts it.")]
        public static partial void TailNotCut(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 2103, Level = LogLevel.Information, Message = "The journal was wiped: the hub holds all of it.")]
        public static partial void Wiped(ILogger logger);

        [LoggerMessage(EventId = 2102, Level = LogLevel.Warning, Message = "The journal on the disk does not fit what the hub holds. It was laid aside, sealed, and a new one begun.")]
        public static partial void SetAside(ILogger logger);
    }
}
