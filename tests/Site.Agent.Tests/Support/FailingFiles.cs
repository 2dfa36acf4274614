using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Tests.Support;

/// <summary>The kit's disk, until it is full: writes then fail half way, as a full disk fails them.</summary>
internal sealed class FailingFiles : IDurableFiles
{
    private readonly DurableFiles _disk = new();

    public bool Full { get; set; }

    /// <summary>Bytes of a journal entry that still fit when the disk is full.</summary>
    public int StillFit { get; set; }

    public Stream OpenForAppend(string path) => new Tearing(_disk.OpenForAppend(path), this);

    public void Flush(Stream stream)
    {
        Refuse();
        _disk.Flush(((Tearing)stream).Inner);
    }

    public byte[]? ReadWhole(string path) => _disk.ReadWhole(path);

    public void Replace(string path, ReadOnlySpan<byte> content)
    {
        Refuse();
        _disk.Replace(path, content);
    }

    public void Rename(string path, string newPath) => _disk.Rename(path, newPath);

    public void Wipe(string path)
    {
        Refuse();
        _disk.Wipe(path);
    }

    public IReadOnlyList<string> Find(string folder, string pattern) => _disk.Find(folder, pattern);

    private void Refuse()
    {
        if (Full)
        {
            throw new IOException("No space left on device");
        }
    }

    private sealed class Tearing(Stream inner, FailingFiles disk) : Stream
    {
        public Stream Inner => inner;

        public override bool CanRead => true;

        public override bool CanSeek => true;

        public override bool CanWrite => true;

        public override long Length => inner.Length;

        public override long Position { get => inner.Position; set => inner.Position = value; }

        public override void Flush() => inner.Flush();

        public override int Read(byte[] buffer, int offset, int count) => inner.Read(buffer, offset, count);

        public override long Seek(long offset, SeekOrigin origin) => inner.Seek(offset, origin);

        public override void SetLength(long value)
        {
            disk.Refuse();
            inner.SetLength(value);
        }

        public override void Write(byte[] buffer, int offset, int count)
        {
            if (disk.Full)
            {
                inner.Write(buffer, offset, Math.Min(count, disk.StillFit));
                throw new IOException("No space left on device");
            }

            inner.Write(buffer, offset, count);
        }

        protected override void Dispose(bool disposing)
        {
            if (disposing)
            {
                inner.Dispose();
            }

            base.Dispose(disposing);
        }
    }
}
