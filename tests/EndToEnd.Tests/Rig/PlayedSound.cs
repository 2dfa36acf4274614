using System.Buffers.Binary;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>What a kit really handed to its sound output, placed on the machine's monotonic clock.</summary>
/// <remarks>
/// Read from the recording and its sidecar: pairs of 64-bit numbers, first frame of a block and the time stamp of the monotonic clock just before the block
/// was handed over. A block is taken to sound from its stamp on, for its own length.
/// </remarks>
internal sealed class PlayedSound
{
    private const int SampleRateHz = 48_000;
    private const int Channels = 2;

    private readonly float[] _samples;
    private readonly (long Frame, long Stamp)[] _blocks;
    private readonly TimeProvider _clock;

    private PlayedSound(float[] samples, (long Frame, long Stamp)[] blocks, TimeProvider clock)
    {
        _samples = samples;
        _blocks = blocks;
        _clock = clock;
    }

    /// <summary>Reads a recording, also one still being written or left by a killed program.</summary>
    public static PlayedSound Read(string path, TimeProvider clock)
    {
        var blocks = Blocks(path);
        return new PlayedSound(WavFile.ReadFloats(path), blocks, clock);
    }

    /// <summary>Reads a recording once it reaches past a moment of the monotonic clock; a kit at real-time pace writes on, sound or no sound.</summary>
    public static async Task<PlayedSound> ReadPast(string path, long timestamp, TimeSpan beyond, CancellationToken cancellationToken)
    {
        var clock = TimeProvider.System;
        var wanted = timestamp + (long)(beyond.TotalSeconds * clock.TimestampFrequency);
        await Eventually.Holds(() => Blocks(path) is [.., var last] && last.Stamp >= wanted, "the kit's output reaches past the moment looked at", beyond + Limits.End, cancellationToken);
        return Read(path, clock);
    }

    /// <summary>Whether anything sounded at a moment of the monotonic clock.</summary>
    public bool SoundedAt(long timestamp) => LastSound(from: timestamp, to: timestamp + _clock.TimestampFrequency / 10) is not null;

    /// <summary>How long after a moment of the monotonic clock the last sound ended, looking no further than a limit; zero when nothing sounded after it.</summary>
    public TimeSpan LastSoundAfter(long timestamp, TimeSpan lookAhead)
    {
        var last = LastSound(timestamp, timestamp + (long)(lookAhead.TotalSeconds * _clock.TimestampFrequency));
        return last is { } end ? _clock.GetElapsedTime(timestamp, end) : TimeSpan.Zero;
    }

    /// <summary>When the block with the first sound after a moment of the monotonic clock was handed over; absent when nothing sounded after it.</summary>
    public long? FirstSoundAfter(long timestamp)
    {
        for (var block = 0; block < _blocks.Length; block++)
        {
            var (frame, stamp) = _blocks[block];
            var end = block + 1 < _blocks.Length ? _blocks[block + 1].Frame : _samples.Length / Channels;
            var samples = _samples.AsSpan((int)(frame * Channels), (int)(Math.Min(end, _samples.Length / Channels) - frame) * Channels);
            if (stamp >= timestamp && samples.ContainsAnyExcept(0f))
            {
                return stamp;
            }
        }

        return null;
    }

    private static (long Frame, long Stamp)[] Blocks(string path)
    {
        using var stream = new FileStream(path + ".times", FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
        var bytes = new byte[stream.Length / 16 * 16];
        stream.ReadExactly(bytes);
        var blocks = new (long Frame, long Stamp)[bytes.Length / 16];
        for (var i = 0; i < blocks.Length; i++)
        {
            blocks[i] = (BinaryPrimitives.ReadInt64LittleEndian(bytes.AsSpan(i * 16)), BinaryPrimitives.ReadInt64LittleEndian(bytes.AsSpan((i * 16) + 8)));
        }

        return blocks;
    }

    private long? LastSound(long from, long to)
    {
        for (var block = _blocks.Length - 1; block >= 0; block--)
        {
            var (frame, stamp) = _blocks[block];
            if (stamp > to)
            {
                continue;
            }

            if (stamp < from)
            {
                return null;
            }

            var end = block + 1 < _blocks.Length ? _blocks[block + 1].Frame : _samples.Length / Channels;
            for (var at = Math.Min(end, _samples.Length / Channels) - 1; at >= frame; at--)
            {
                if (_samples[at * Channels] != 0 || _samples[(at * Channels) + 1] != 0)
                {
                    return stamp + ((at - frame + 1) * _clock.TimestampFrequency / SampleRateHz);
                }
            }
        }

        return null;
    }
}
