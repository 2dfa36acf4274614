using System.IO.Enumeration;
using TeleHearing.Simulation.Scheduling;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Simulation.Disk;

/// <summary>What can be wrong with the next thing asked of a disk.</summary>
internal enum DiskTrouble
{
    None,

    /// <summary>It says that it is full, before or after half of it was written.</summary>
    Full,

    /// <summary>The program dies in the middle of it.</summary>
    Death,
}

/// <summary>A kit's disk. Written bytes lie in memory until they are flushed; when the machine dies they are gone, or a part of them is there, or what is there is no sense.</summary>
internal sealed class SimDisk(Random chance)
{
    private readonly Dictionary<string, SimFile> _files = new(StringComparer.Ordinal);

    /// <summary>Asked before every change: what goes wrong with it.</summary>
    public Func<DiskTrouble> Trouble { get; set; } = () => DiskTrouble.None;

    /// <summary>The disk as one run of a program sees it; when that run is dead, what it still does changes nothing.</summary>
    public IDurableFiles For(Machine? machine) => new Files(this, machine);

    /// <summary>Puts a file there.</summary>
    public void Put(string path, byte[] content) => _files[path] = new SimFile(content);

    /// <summary>Every file as it would be found now.</summary>
    public IReadOnlyDictionary<string, byte[]> Copy() => _files.ToDictionary(file => file.Key, file => file.Value.Content.ToArray(), StringComparer.Ordinal);

    /// <summary>The machine lost its power, or its program was killed in the middle of a write: what was not flushed is lost or torn.</summary>
    public void LosePower()
    {
        foreach (var file in _files.Values)
        {
            file.LosePower(chance);
        }
    }

    /// <summary>A file: what is on the disk, and what was written and is not there yet.</summary>
    private sealed class SimFile(byte[] content)
    {
        public List<byte> Content { get; } = [.. content];

        /// <summary>The first bytes that are safe; a shortened file is safe at once.</summary>
        public int Safe { get; set; } = content.Length;

        public void LosePower(Random chance)
        {
            if (Content.Count <= Safe)
            {
                return;
            }

            var kept = chance.Next(Safe, Content.Count + 1);
            Content.RemoveRange(kept, Content.Count - kept);
            if (kept > Safe && chance.Next(2) == 0)
            {
                // A sector that was under way.
                for (var at = chance.Next(Safe, kept); at < kept; at++)
                {
                    Content[at] = (byte)chance.Next(256);
                }
            }

            Safe = Content.Count;
        }
    }

    private sealed class Files(SimDisk disk, Machine? machine) : IDurableFiles
    {
        public Stream OpenForAppend(string path)
        {
            if (!disk._files.TryGetValue(path, out var file))
            {
                file = new SimFile([]);
                Change(() => disk._files[path] = file, null);
            }

            return new Writing(this, file);
        }

        public void Flush(Stream stream)
        {
            var file = ((Writing)stream).File;
            Change(() => file.Safe = file.Content.Count, null);
        }

        public byte[]? ReadWhole(string path) => disk._files.TryGetValue(path, out var file) ? [.. file.Content] : null;

        public void Replace(string path, ReadOnlySpan<byte> content)
        {
            var copy = content.ToArray();
            Change(() => disk._files[path] = new SimFile(copy), null);
        }

        public void Rename(string path, string newPath)
        {
            if (disk._files.TryGetValue(path, out var file))
            {
                Change(
                    () =>
                    {
                        disk._files.Remove(path);
                        disk._files[newPath] = file;
                    },
                    null);
            }
        }

        public void Wipe(string path)
        {
            if (disk._files.ContainsKey(path))
            {
                Change(() => disk._files.Remove(path), null);
            }
        }

        public IReadOnlyList<string> Find(string folder, string pattern) =>
            [.. disk._files.Keys.Where(path => Path.GetDirectoryName(path) == folder && FileSystemName.MatchesSimpleExpression(pattern, Path.GetFileName(path))).Order(StringComparer.Ordinal)];

        /// <param name="whole">The change.</param>
        /// <param name="half">What there is of it when it fails in the middle; absent when it is one or nothing.</param>
        public void Change(Action whole, Action? half)
        {
            if (machine is { Alive: false })
            {
                return;
            }

            switch (disk.Trouble())
            {
                case DiskTrouble.Full:
                    half?.Invoke();
                    throw new IOException("No space left on the simulated device.");
                case DiskTrouble.Death:
                    // One or the other is on the disk; which, nobody is told.
                    (disk.CoinFalls() ? whole : half)?.Invoke();
                    machine?.Die();
                    throw new MachineDiedException();
                default:
                    whole();
                    break;
            }
        }

        private sealed class Writing(Files files, SimFile file) : Stream
        {
            public SimFile File => file;

            public override bool CanRead => true;

            public override bool CanSeek => true;

            public override bool CanWrite => true;

            public override long Length => file.Content.Count;

            public override long Position { get; set; }

            public override void Flush()
            {
                // Only the disk's own flush makes anything safe.
            }

            public override int Read(byte[] buffer, int offset, int count)
            {
                var read = (int)Math.Clamp(file.Content.Count - Position, 0, count);
                file.Content.CopyTo((int)Position, buffer, offset, read);
                Position += read;
                return read;
            }

            public override long Seek(long offset, SeekOrigin origin) => Position = origin switch
            {
                SeekOrigin.Begin => offset,
                SeekOrigin.Current => Position + offset,
                _ => Length + offset,
            };

            public override void SetLength(long value) => files.Change(
                () =>
                {
                    file.Content.RemoveRange((int)value, file.Content.Count - (int)value);
                    file.Safe = Math.Min(file.Safe, (int)value);
                },
                null);

            public override void Write(byte[] buffer, int offset, int count)
            {
                if (Position != Length)
                {
                    throw new NotSupportedException("A journal is written at its end alone.");
                }

                var written = buffer[offset..(offset + count)];
                files.Change(() => file.Content.AddRange(written), () => file.Content.AddRange(written[..(count / 2)]));
                Position = Length;
            }
        }
    }

    private bool CoinFalls() => chance.Next(2) == 0;
}
