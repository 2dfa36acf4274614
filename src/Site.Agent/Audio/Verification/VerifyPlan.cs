using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>Everything that is played: each ear, each frequency, each level, each kind of sound.</summary>
internal static class VerifyPlan
{
    /// <summary>Level of the sounds whose form is looked at, dB of digital full scale (design).</summary>
    private const double FormDb = -20;

    /// <summary>Level of noises, RMS: their peaks need room.</summary>
    private const double NoiseDb = -30;
    private const double ToneMs = 500;

    /// <summary>Three pulses, five swings.</summary>
    private const double FormMs = 1200;
    private const double GapMs = 20;

    /// <summary>One whole period of a noise (5.46 s) with its rise and fall.</summary>
    private const double NoiseMs = 5600;

    /// <summary>What a turn takes beside its sound, ms: what is held ready and what is still on its way back (seen).</summary>
    private const double TurnMs = 650;

    private static readonly Ear[] _ears = [Ear.Left, Ear.Right];
    private static readonly AudiometricFrequency[] _quick = [.. new[] { 250, 1000, 8000 }.Select(hertz => AudiometricFrequency.FromHertz(hertz))];

    /// <summary>The items, in the order in which they are played.</summary>
    /// <param name="gear">The kit whose calibration gives the levels; absent for levels of digital full scale.</param>
    /// <param name="quick">A few frequencies and levels only.</param>
    public static IReadOnlyList<VerifyItem> Make(Gear? gear, bool quick)
    {
        var frequencies = quick ? _quick : AudiometricFrequency.Both;
        var bands = quick ? [AudiometricFrequency.FromHertz(1000)] : frequencies;
        return
        [
            .. _ears.SelectMany(ear => frequencies.Select(frequency => Single(gear, VerifyTopic.Tone, ear, frequency.Hertz, VerifySoundKind.Tone(frequency.Hertz), FormDb, ToneMs))),
            .. frequencies.SelectMany(frequency => Both(ear => [Single(gear, VerifyTopic.Pulses, ear, frequency.Hertz, VerifySoundKind.Pulsed(frequency.Hertz), FormDb, FormMs)])),
            .. frequencies.SelectMany(frequency => Both(ear => [Single(gear, VerifyTopic.Warble, ear, frequency.Hertz, VerifySoundKind.Warble(frequency.Hertz), FormDb, FormMs)])),
            .. bands.SelectMany(frequency => Both(ear => [Single(gear, VerifyTopic.MaskerBand, ear, frequency.Hertz, VerifySoundKind.Masker(frequency), NoiseDb, NoiseMs)])),
            .. frequencies.SelectMany(frequency => new[] { VerifySoundKind.Tone(frequency.Hertz), VerifySoundKind.Pulsed(frequency.Hertz), VerifySoundKind.Warble(frequency.Hertz) }
                .SelectMany(kind => Both(ear => Row(ear, frequency.Hertz, kind, VerifyLevels.Tones(gear, ear, frequency, quick))))),
            .. frequencies.SelectMany(frequency => Both(ear => Row(ear, frequency.Hertz, VerifySoundKind.Masker(frequency), VerifyLevels.Maskers(gear, ear, frequency, quick)))),
            .. Both(ear => Row(ear, 0, VerifySoundKind.Broad(NoiseColour.Speech), VerifyLevels.Speech(gear, ear, quick))),
            .. new[] { NoiseColour.White, NoiseColour.Pink }.SelectMany(colour => Both(ear => Row(ear, 0, VerifySoundKind.Broad(colour), VerifyLevels.Uncalibrated(quick)))),
            .. _ears.Select(ear => new VerifyItem(VerifyTopic.Silence, ear, 0, "silence", null, AudioFormat.FramesOf(ToneMs), [])),
        ];
    }

    /// <summary>Time it takes to play them, about.</summary>
    public static TimeSpan Length(IReadOnlyList<VerifyItem> items) => TimeSpan.FromMilliseconds(VerifyTurn.Of(items).Sum(turn => AudioFormat.MillisecondsOf(turn.Frames) + TurnMs));

    /// <summary>Items of both ears, taking turns, so that those of a pair are neighbours.</summary>
    private static IEnumerable<VerifyItem> Both(Func<Ear, IEnumerable<VerifyItem>> items)
    {
        var rows = _ears.Select(ear => items(ear).ToList()).ToList();
        for (var index = 0; index < rows.Max(row => row.Count); index++)
        {
            foreach (var row in rows.Where(row => index < row.Count))
            {
                yield return row[index];
            }
        }
    }

    /// <summary>One sound at a fixed digital level: with a calibration, whose levels are set in dB HL, nothing was set for it.</summary>
    private static VerifyItem Single(Gear? gear, VerifyTopic topic, Ear ear, double hertz, VerifySoundKind kind, double levelDb, double lengthMs)
    {
        var sound = kind.Make(ear, levelDb, lengthMs, null);
        return new VerifyItem(topic, ear, hertz, kind.Name, sound, sound.TotalFrames, [new VerifySound(0, sound.TotalFrames, levelDb, gear is null ? levelDb : null, VerifyLevels.FullScale)]);
    }

    /// <summary>All levels of one ear, sound and frequency, the loudest first, in pieces no longer than any stimulus may be.</summary>
    private static IEnumerable<VerifyItem> Row(Ear ear, double hertz, VerifySoundKind kind, IEnumerable<VerifyLevel> levels)
    {
        var each = AudioFormat.FramesOf(kind.LevelMs + GapMs);
        var most = (int)(AudioFormat.FramesOf(Presentation.LongestToneMs) / each);
        IStimulus? earlier = null;
        foreach (var piece in levels.Chunk(most))
        {
            var sounds = new List<(long Start, IStimulus Sound)>();
            foreach (var level in piece)
            {
                earlier = kind.Make(ear, level.LevelDb, kind.LevelMs, earlier);
                sounds.Add((sounds.Count * each, earlier));
            }

            var row = new SoundRow(sounds);
            yield return new VerifyItem(
                kind.Topic,
                ear,
                hertz,
                kind.Name,
                row,
                row.TotalFrames,
                [.. piece.Zip(sounds, (level, sound) => new VerifySound(sound.Start, sound.Sound.TotalFrames, level.LevelDb, level.SetDb, level.Unit))]);
        }
    }
}
