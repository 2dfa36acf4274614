using System.Buffers;
using System.IO.Pipelines;

namespace TeleHearing.Links;

/// <summary>Reads sealed records and hands on what is in them, each only once it is whole and fits.</summary>
/// <param name="inner">Where sealed records come from.</param>
/// <param name="seal">Opens them.</param>
/// <param name="longest">Longest record, bytes.</param>
/// <param name="heard">Noted whenever something came that fits.</param>
/// <param name="caught">Told of the first that did not come as it was sent.</param>
internal sealed class OpeningReader(PipeReader inner, LinkSeal seal, long longest, LinkHeard? heard, Action<LinkFaultException>? caught) : PipeReader
{
    // Never holds up: what was read is asked for by the one who reads it.
    private readonly Pipe _opened = new(new PipeOptions(pauseWriterThreshold: 0, useSynchronizationContext: false));
    private LinkFaultException? _fault;

    public override async ValueTask<ReadResult> ReadAsync(CancellationToken cancellationToken = default)
    {
        ReadResult opened;
        while (!_opened.Reader.TryRead(out opened))
        {
            Take(await inner.ReadAsync(cancellationToken).ConfigureAwait(false));
        }

        return opened;
    }

    public override bool TryRead(out ReadResult result)
    {
        while (!_opened.Reader.TryRead(out result))
        {
            if (!inner.TryRead(out var read))
            {
                return false;
            }

            Take(read);
        }

        return true;
    }

    public override void AdvanceTo(SequencePosition consumed) => _opened.Reader.AdvanceTo(consumed);

    public override void AdvanceTo(SequencePosition consumed, SequencePosition examined) => _opened.Reader.AdvanceTo(consumed, examined);

    public override void CancelPendingRead() => inner.CancelPendingRead();

    public override void Complete(Exception? exception = null)
    {
        inner.Complete(exception);
        _opened.Reader.Complete(exception);
        seal.Dispose();
    }

    private void Take(ReadResult read)
    {
        if (_fault is not null)
        {
            throw _fault;
        }

        var rest = read.Buffer;
        try
        {
            while (rest.PositionOf(LinkSeal.RecordEnd) is { } end)
            {
                seal.Open(rest.Slice(0, end), _opened.Writer);
                rest = rest.Slice(rest.GetPosition(1, end));
                heard?.Note();
            }

            if (rest.Length > longest + LinkSeal.LongestSeal)
            {
                throw new LinkFaultException(LinkDefence.Length, -1);
            }
        }
        catch (LinkFaultException fault)
        {
            // Whatever else comes on this connection is not looked at any more.
            _fault = fault;
            inner.AdvanceTo(read.Buffer.End);
            caught?.Invoke(fault);
            throw;
        }

        inner.AdvanceTo(rest.Start, read.Buffer.End);
        Flush();
        if (read.IsCompleted)
        {
            _opened.Writer.Complete();
        }

        if (read.IsCanceled)
        {
            _opened.Reader.CancelPendingRead();
        }
    }

    private void Flush()
    {
        // Without a threshold a flush is over when it returns.
        var flushed = _opened.Writer.FlushAsync(CancellationToken.None);
        if (!flushed.IsCompleted)
        {
            throw new InvalidOperationException("A pipe without a threshold waited.");
        }
    }
}
