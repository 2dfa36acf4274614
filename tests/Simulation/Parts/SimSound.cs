using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using TeleHearing.Audiology;
using TeleHearing.Simulation.Scheduling;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Simulation.Parts;

/// <summary>A sound card with a person behind it. Every block takes its time; what it holds is looked at, and a person who hears it presses.</summary>
/// <remarks>The person is a simple one: they hear what is above a level that is theirs, and answer after a time of reaction. How well thresholds come out is tested elsewhere, by a listener who hears the samples.</remarks>
internal sealed class SimSound : IAudioOutput, IPressSource
{
    private static readonly TimeSpan _block = TimeSpan.FromMilliseconds((double)AudioFormat.BlockFrames * 1000 / AudioFormat.SampleRateHz);

    private readonly Machine _machine;
    private readonly Random _person;
    private readonly float _hears;
    private readonly KitWitness _witness;
    private readonly List<ButtonPress> _presses = [];
    private readonly BlockDelay _delay;
    private long _frames;
    private bool _on;
    private Ear? _heard;

    public SimSound(Machine machine, Random person, float hears, KitWitness witness)
    {
        (_machine, _person, _hears, _witness) = (machine, person, hears, witness);
        _delay = new BlockDelay(machine, _block);
    }

    public string DeviceName => "simulated";

    public int SampleRateHz => AudioFormat.SampleRateHz;

    /// <summary>The side last heard, asked once.</summary>
    public Ear? TakeHeard()
    {
        var heard = _heard;
        _heard = null;
        return heard;
    }

    public ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken)
    {
        if (!_machine.Alive)
        {
            return ValueTask.CompletedTask;
        }

        var samples = stereo.Span;
        var (left, right) = Peaks(samples);
        if (Math.Max(left, right) is not 0f)
        {
            Sound(left, right);
        }
        else
        {
            _on = false;
        }

        _frames += AudioFormat.BlockFrames;
        return _delay.Wait();
    }

    public void Collect(List<ButtonPress> presses)
    {
        presses.AddRange(_presses);
        _presses.Clear();
    }

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    /// <summary>The highest sample of each side, either way. Every block of every world is looked at, so many samples at a time; sides take turns, and a vector holds an even number of samples.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static (float Left, float Right) Peaks(ReadOnlySpan<float> samples)
    {
        var vectors = MemoryMarshal.Cast<float, Vector<float>>(samples);
        var highest = Vector<float>.Zero;
        foreach (var vector in vectors)
        {
            highest = Vector.Max(highest, Vector.Abs(vector));
        }

        var (left, right) = (0f, 0f);
        for (var at = 0; at < Vector<float>.Count; at += AudioFormat.Channels)
        {
            (left, right) = (Math.Max(left, highest[at]), Math.Max(right, highest[at + 1]));
        }

        for (var at = vectors.Length * Vector<float>.Count; at < samples.Length; at += AudioFormat.Channels)
        {
            (left, right) = (Math.Max(left, Math.Abs(samples[at])), Math.Max(right, Math.Abs(samples[at + 1])));
        }

        return (left, right);
    }

    private void Sound(float left, float right)
    {
        var peak = Math.Max(left, right);
        _witness.Sounded(_block, peak);
        if (!_on && peak >= _hears)
        {
            _on = true;
            _heard = left > right ? Ear.Left : Ear.Right;
            var down = _frames + AudioFormat.FramesOf(_person.Next(250, 600));
            _presses.Add(new ButtonPress(down, down + AudioFormat.FramesOf(300)));
        }
    }
}
