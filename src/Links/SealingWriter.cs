using System.Buffers;
using System.IO.Pipelines;

namespace TeleHearing.Links;

/// <summary>Takes records as they are written and hands them on sealed when they are flushed. How much may wait is decided by the writer behind it.</summary>
internal sealed class SealingWriter(PipeWriter inner, LinkSeal seal) : PipeWriter
{
    // Rented while something is written and given back at once: most connections are idle most of the time.
    private byte[] _open = [];
    private int _written;

    public override bool CanGetUnflushedBytes => inner.CanGetUnflushedBytes;

    public override long UnflushedBytes => inner.UnflushedBytes + _written;

    public override Memory<byte> GetMemory(int sizeHint = 0)
    {
        Room(sizeHint);
        return _open.AsMemory(_written);
    }

    public override Span<byte> GetSpan(int sizeHint = 0)
    {
        Room(sizeHint);
        return _open.AsSpan(_written);
    }

    public override void Advance(int bytes)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(bytes, _open.Length - _written);
        _written += bytes;
    }

    public override ValueTask<FlushResult> FlushAsync(CancellationToken cancellationToken = default)
    {
        SealWhole();
        return inner.FlushAsync(cancellationToken);
    }

    public override void CancelPendingFlush() => inner.CancelPendingFlush();

    public override void Complete(Exception? exception = null)
    {
        SealWhole();
        Return(_open);
        (_open, _written) = ([], 0);
        inner.Complete(exception);
        seal.Dispose();
    }

    private void SealWhole()
    {
        if (_written == 0)
        {
            return;
        }

        var rest = _open.AsSpan(0, _written);
        while (rest.IndexOf(LinkSeal.RecordEnd) is >= 0 and var end)
        {
            seal.Seal(rest[..end], inner);
            rest = rest[(end + 1)..];
        }

        rest.CopyTo(_open);
        _written = rest.Length;
        if (_written == 0)
        {
            Return(_open);
            _open = [];
        }
    }

    private void Room(int sizeHint)
    {
        var wanted = _written + Math.Max(sizeHint, 1);
        if (wanted <= _open.Length)
        {
            return;
        }

        var larger = ArrayPool<byte>.Shared.Rent(Math.Max(wanted, Math.Max(512, 2 * _open.Length)));
        _open.AsSpan(0, _written).CopyTo(larger);
        Return(_open);
        _open = larger;
    }

    private static void Return(byte[] rented)
    {
        if (rented.Length > 0)
        {
            ArrayPool<byte>.Shared.Return(rented);
        }
    }
}
