using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Journal;

/// <summary>The journal's files. Every method expects the lock.</summary>
internal sealed partial class KitJournal
{
    private void ReadFile()
    {
        var content = ReadContent();
        var (bodies, soundLength) = JournalFrame.Split(content);
        _length = soundLength;
        if (soundLength < content.Length)
        {
            Log.TornTail(_logger, content.Length - soundLength);
            CutTail();
        }

        _sealed = [.. bodies.Where(body => JournalFrame.SequenceOf(body) > AcknowledgedSequence)];
        LastSequence = bodies.Count > 0 ? Math.Max(AcknowledgedSequence, JournalFrame.SequenceOf(bodies[^1])) : AcknowledgedSequence;
    }

    private byte[] ReadContent()
    {
        var path = Path.Combine(_folder, FileName);
        try
        {
            _file ??= _files.OpenForAppend(path);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // a disk that takes nothing can still be read, and must not keep the kit from starting: the next write opens it
            Log.NotOpened(_logger, fault);
            return _files.ReadWhole(path) ?? [];
        }

        _file.Position = 0;
        var content = new byte[_file.Length];
        _file.ReadExactly(content);
        return content;
    }

    private void CutTail()
    {
        if (_file is null)
        {
            return;
        }

        try
        {
            _file.SetLength(_length);
            _files.Flush(_file);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // the next write cuts it before it writes
            Log.TailNotCut(_logger, fault);
        }
    }

    private void WriteFrame(byte[] frame)
    {
        _file ??= _files.OpenForAppend(Path.Combine(_folder, FileName));
        try
        {
            if (_file.Length != _length)
            {
                // what an earlier failed write left behind
                _file.SetLength(_length);
            }

            _file.Position = _length;
            _file.Write(frame);
            _files.Flush(_file);
            _length += frame.Length;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            TakeBack();
            throw;
        }
    }

    private void TakeBack()
    {
        try
        {
            _file?.SetLength(_length);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // the next write cuts it before it writes, and a restart cuts it as a torn tail at the latest
        }
    }

    private void Compact()
    {
        _file?.Dispose();
        _file = null;
        _files.Replace(Path.Combine(_folder, FileName), []);
        _length = 0;
    }

    private void WriteHeader(Header header)
    {
        _files.Replace(Path.Combine(_folder, HeaderName), JsonSerializer.SerializeToUtf8Bytes(header, Protocol.Json));
        _header = header;
        AcknowledgedSequence = header.AcknowledgedSequence;
    }
}
