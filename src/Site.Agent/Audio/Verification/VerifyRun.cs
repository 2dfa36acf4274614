using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>Plays the items through the kit's audio loop and reads what comes back.</summary>
/// <param name="engine">Audio loop.</param>
/// <param name="gaps">Its output.</param>
/// <param name="recorder">The way back.</param>
/// <param name="progress">Where it says what it is at.</param>
internal sealed class VerifyRun(AudioEngine engine, GapCounter gaps, LoopRecorder recorder, TextWriter progress)
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
        var place = await AlignAsync(time, cancellationToken);
        var readings = new List<Reading>();
        var turns = VerifyTurn.Of(items);
        for (var index = 0; index < turns.Count; index++)
        {
            await progress.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"{index + 1,4} of {turns.Count}  {Words(turns[index])}"));
            var found = await TryTurnAsync(turns[index], place, time, cancellationToken);
            for (var repeat = 0; found is null && repeat < MostRepeats; repeat++)
            {
                await progress.WriteLineAsync("      the output ran out of samples; this one is repeated");
                place = await AlignAsync(time, cancellationToken);
                found = await TryTurnAsync(turns[index], place, time, cancellationToken);
            }

            readings.AddRange(found ?? throw Lost("The output ran out of samples again and again, for the machine is held up."));
        }

        return readings;
    }

    /// <summary>Plays one turn and reads it.</summary>
    /// <returns>The readings; absent when the sound had a gap, in it or before it, which moved it in the recording.</returns>
    private async Task<IReadOnlyList<Reading>?> TryTurnAsync(VerifyTurn turn, Place place, TimeProvider time, CancellationToken cancellationToken)
    {
        if (await PlayAsync(turn, cancellationToken) is not { } began)
        {
            return null;
        }

        var count = (int)(turn.Frames + AudioFormat.FramesOf(TailMs));
        await ComesBackAsync(began + place.Offset + count, time, cancellationToken);
        var (left, right) = recorder.Take(began + place.Offset, count);
        return gaps.Gaps == place.Gaps
            ? [.. turn.Items.SelectMany(item => item.Ear == Ear.Left ? Measure.Read(item, left, right) : Measure.Read(item, right, left))]
            : null;
    }

    /// <summary>Plays a short noise to the left ear and finds it in the recording: from then on frames of the kit clock are frames of the recording, until the output has a gap.</summary>
    private async Task<Place> AlignAsync(TimeProvider time, CancellationToken cancellationToken)
    {
        var noise = Stimulus.Make(new BroadbandNoiseSpec(NoiseColour.White, Math.Pow(10, -30 / 20.0), 7, ToneShape.Steady, 200, AudioFormat.SampleRateHz));
        var marker = new float[noise.TotalFrames];
        noise.Render(0, marker);
        for (var attempt = 0; attempt <= MostRepeats; attempt++)
        {
            var (from, before) = (recorder.Frames, gaps.Gaps);
            if (await PlayAsync(noise, Ear.Left, null, noise.TotalFrames, cancellationToken) is { } onset)
            {
                return new Place(await FindAsync(marker, from, time, cancellationToken) - onset, before);
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

    private Task<long?> PlayAsync(VerifyTurn turn, CancellationToken cancellationToken) =>
        PlayAsync(turn.Items[0].Stimulus, turn.Items[0].Ear, turn.Items.Count > 1 ? turn.Items[1].Stimulus : null, turn.Frames, cancellationToken);

    /// <summary>Plays one stretch, with another sound in the other ear if there is one. Both begin at the same frame.</summary>
    /// <returns>Frame of its onset; absent when the output ran out of samples meanwhile.</returns>
    private async Task<long?> PlayAsync(IStimulus? sound, Ear ear, IStimulus? other, long frames, CancellationToken cancellationToken)
    {
        var result = await engine.PresentAsync(
            new Presentation
            {
                // a sound for the other ear begins with the presentation
                LeadFrames = other is null ? AudioFormat.FramesOf(LeadMs) : 0,
                BodyFrames = frames,
                TailFrames = AudioFormat.FramesOf(TailMs),
                Tone = sound,
                Ear = ear,
                Masker = other,
                NeedsLease = true,
            },
            cancellationToken);
        return result.End == PresentationEnd.Complete ? result.OnsetFrame
            : result.Fault is { Kind: DeviceFaultKind.Passing } ? null
            : throw new DeviceFaultException(result.Fault ?? new DeviceFault(DeviceFaultKind.Passing, "The sound was cut off.", "Begin again."));
    }

    private static string Words(VerifyTurn turn)
    {
        var item = turn.Items[0];
        var ear = turn.Items.Count > 1 ? "both ears" : item.Ear == Ear.Left ? "left" : "right";
        var hertz = item.Hertz > 0 ? string.Create(CultureInfo.InvariantCulture, $" {item.Hertz:0} Hz") : string.Empty;
        var levels = item.Sounds.Count > 1 ? string.Create(CultureInfo.InvariantCulture, $", {item.Sounds.Count} levels") : string.Empty;
        return $"{ear,-9}  {item.Name}{hertz}{levels}";
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

    /// <summary>Where the recording is.</summary>
    /// <param name="Offset">Frames of the recording less frames of the kit clock.</param>
    /// <param name="Gaps">Gaps of the output before it was found: with one more it is somewhere else.</param>
    private sealed record Place(long Offset, int Gaps);
}
