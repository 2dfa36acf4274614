using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Journal;

/// <summary>The journal's files. Every method expects the lock.</summary>
internal sealed partial class KitJournal
{
    private void ReadFile()
    {
        _file ??= _files.OpenForAppend(Path.Combine(_folder, FileName));
        _file.Position = 0;
        var content = new byte[_file.Length];
        _file.ReadExactly(content);
        var (bodies, soundLength) = JournalFrame.Split(content);
        if (soundLength < content.Length)
        {
            Log.TornTail(_logger, content.Length - soundLength);
            _file.SetLength(soundLength);
            _files.Flush(_file);
        }

        _length = soundLength;
        _sealed = [.. bodies.Where(body => JournalFrame.SequenceOf(body) > AcknowledgedSequence)];
        LastSequence = bodies.Count > 0 ? Math.Max(AcknowledgedSequence, JournalFrame.SequenceOf(bodies[^1])) : AcknowledgedSequence;
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
    }
}
