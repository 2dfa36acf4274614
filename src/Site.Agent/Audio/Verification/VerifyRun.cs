using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>Plays the items through the kit's audio loop and reads what comes back.</summary>
internal sealed class VerifyRun(AudioEngine engine, LoopRecorder recorder, TextWriter progress)
{
    private const double LeadMs = 20;

    /// <summary>Silence after an item, ms: what is between it and the next, and the rest of an envelope.</summary>
    private const double TailMs = 30;

    /// <summary>How often an item is repeated when the machine was too busy (design).</summary>
    private const int MostRepeats = 5;

    /// <summary>How long a sound may take to come back before it counts as lost (design).</summary>
    private static readonly TimeSpan _backLimit = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan _look = TimeSpan.FromMilliseconds(10);

    /// <summary>Plays and measures everything.</summary>
    /// <exception cref="DeviceFaultException">The output, or the way back, failed.</exception>
    public async Task<IReadOnlyList<Reading>> RunAsync(IReadOnlyList<VerifyItem> items, TimeProvider time, CancellationToken cancellationToken)
    {
        await ComesBackAsync(1, time, cancellationToken);
        var offset = await AlignAsync(time, cancellationToken);
        var readings = new List<Reading>();
        for (var index = 0; index < items.Count; index++)
        {
            var item = items[index];
            await progress.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"{index + 1,4} of {items.Count}  {item.Ear.ToString().ToLowerInvariant(),-5}  {item.Name}{(item.Hertz > 0 ? $" {item.Hertz:0} Hz" : "")}"));
            var onset = await PlayAsync(item.Stimulus, item.Ear, item.Frames, cancellationToken);
            for (var repeat = 0; onset is null && repeat < MostRepeats; repeat++)
            {
                // a gap in the sound moved everything after it in the recording
                await progress.WriteLineAsync("      the output ran out of samples; this one is repeated");
                offset = await AlignAsync(time, cancellationToken);
                onset = await PlayAsync(item.Stimulus, item.Ear, item.Frames, cancellationToken);
            }

            var began = onset ?? throw Lost("The output ran out of samples again and again, for the machine is held up.");
            var count = (int)(item.Frames + AudioFormat.FramesOf(TailMs));
            await ComesBackAsync(began + offset + count, time, cancellationToken);
            var (left, right) = recorder.Take(began + offset, count);
            readings.AddRange(item.Ear == Ear.Left ? Measure.Read(item, left, right) : Measure.Read(item, right, left));
        }

        return readings;
    }

    /// <summary>Plays a short noise to both ears and finds it in the recording: from then on frames of the kit clock are frames of the recording.</summary>
    private async Task<long> AlignAsync(TimeProvider time, CancellationToken cancellationToken)
    {
        var noise = Stimulus.Make(new BroadbandNoiseSpec(NoiseColour.White, Math.Pow(10, -30 / 20.0), 7, ToneShape.Steady, 200, AudioFormat.SampleRateHz));
        var marker = new float[noise.TotalFrames];
        noise.Render(0, marker);
        for (var attempt = 0; attempt <= MostRepeats; attempt++)
        {
            var from = recorder.Frames;
            if (await PlayAsync(noise, Ear.Left, noise.TotalFrames, cancellationToken) is { } onset)
            {
                return await FindAsync(marker, from, time, cancellationToken) - onset;
            }
        }

        throw Lost("The output ran out of samples again and again, for the machine is held up.");
    }

    private async Task<long> FindAsync(float[] marker, long from, TimeProvider time, CancellationToken cancellationToken)
    {
        var began = time.GetTimestamp();
        while (time.GetElapsedTime(began) < _backLimit)
        {
            var (left, _) = recorder.Take(from, int.MaxValue);
            if (left.Length > marker.Length && LoopAlignment.Find(left, marker) is { } place)
            {
                return from + place;
            }

            await Task.Delay(_look * 10, time, cancellationToken);
        }

        throw Lost("The marker played to the left ear did not come back.");
    }

    /// <summary>Plays one stretch.</summary>
    /// <returns>Frame of its onset; absent when the output ran out of samples meanwhile.</returns>
    private async Task<long?> PlayAsync(IStimulus? sound, Ear ear, long frames, CancellationToken cancellationToken)
    {
        var result = await engine.PresentAsync(
            new Presentation
            {
                LeadFrames = AudioFormat.FramesOf(LeadMs),
                BodyFrames = frames,
                TailFrames = AudioFormat.FramesOf(TailMs),
                Tone = sound,
                Ear = ear,
                NeedsLease = true,
            },
            cancellationToken);
        return result.End == PresentationEnd.Complete ? result.OnsetFrame
            : result.Fault is { Kind: DeviceFaultKind.Passing } ? null
            : throw new DeviceFaultException(result.Fault ?? new DeviceFault(DeviceFaultKind.Passing, "The sound was cut off.", "Begin again."));
    }

    private async Task ComesBackAsync(long frame, TimeProvider time, CancellationToken cancellationToken)
    {
        var began = time.GetTimestamp();
        while (recorder.Frames < frame)
        {
            if (time.GetElapsedTime(began) > _backLimit)
            {
                throw Lost($"Nothing comes in on \"{recorder.Name}\".");
            }

            await Task.Delay(_look, time, cancellationToken);
        }

        if (recorder.Holes > 0)
        {
            throw Lost("The recording has a hole, for the machine was held up.");
        }
    }

    private static DeviceFaultException Lost(string sentence) => new(new DeviceFault(DeviceFaultKind.Lasting, sentence, "Check the cable and the input's name, close other programs, then start again."));
}
