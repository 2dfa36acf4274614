using TeleHearing.Audiology.Acoustics;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Turns what the microphone hears into the room strip of the console: an average about four times a second, with or without a presentation in hand.</summary>
/// <remarks>
/// Heard on the audio loop. A simulated run faster than time still sends no more often than <see cref="LeastApart"/> on the machine's clock. Nothing is sent without a
/// microphone and its record.
/// </remarks>
internal sealed class RoomStrip : IRoomListener
{
    /// <summary>Averaging time, ms (design).</summary>
    public const double AverageMs = 250;

    private static readonly TimeSpan _leastApart = TimeSpan.FromMilliseconds(200);
    private readonly ThirdOctaveBank _bank = new(AudioFormat.SampleRateHz, ThirdOctaveBands.Nominal);
    private readonly RoomHearing _hearing;
    private readonly SoundLevelMeter _meter;
    private readonly double[] _ownNoise;
    private readonly Action<LiveRoom> _send;
    private readonly TimeProvider _time;
    private long _sent;
    private bool _anySound;

    private RoomStrip(RoomHearing hearing, Action<LiveRoom> send, TimeProvider time)
    {
        (_hearing, _send, _time) = (hearing, send, time);
        _meter = new SoundLevelMeter(FrequencyWeighting.A, AudioFormat.SampleRateHz, hearing.SplAtRmsOneDb);
        var own = hearing.SelfNoise.GroupBy(band => band.BandHz).ToDictionary(group => group.Key, group => group.Last().LevelDbSpl);
        _ownNoise = ThirdOctaveBands.Nominal.All(own.ContainsKey) ? [.. ThirdOctaveBands.Nominal.Select(band => own[band])] : [];
        _sent = time.GetTimestamp();
    }

    /// <summary>Shortest time between two sendings.</summary>
    public static TimeSpan LeastApart => _leastApart;

    /// <summary>Makes one for this kit; absent when the kit may say nothing about the room.</summary>
    public static RoomStrip? For(IAudioInput? microphone, Gear gear, Action<LiveRoom> send, TimeProvider time) =>
        RoomHearing.Find(microphone, gear).Hearing is { } hearing ? new RoomStrip(hearing, send, time) : null;

    public void Hear(long framesSinceOnset, ReadOnlySpan<float> mono)
    {
        _bank.Process(mono);
        _meter.Add(mono);
        _anySound |= mono.ContainsAnyExcept(0f);
        if (_bank.FramesAveraged < AudioFormat.FramesOf(AverageMs))
        {
            return;
        }

        if (_time.GetElapsedTime(_sent) >= _leastApart)
        {
            _sent = _time.GetTimestamp();
            _send(new LiveRoom([.. _bank.Levels(_hearing.SplAtRmsOneDb).Select(level => Math.Round(level.LevelDbSpl, 1))], _ownNoise, Math.Round(_meter.FastDb, 1), Trouble()));
        }

        _bank.ResetAverage();
        _meter.Restart();
        _anySound = false;
    }

    private string? Trouble() =>
        _bank.Faults.Any ? _bank.Faults.Sentence()
        : !_anySound ? "The measurement microphone gives dead silence, which no room is."
        : null;
}
