using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions;

/// <summary>Checks the content of a step.</summary>
internal static class StepValidator
{
    /// <summary>Highest level that can be asked for at all, dB HL; see <see cref="Decisions.StepDecider.ConfirmedCeilingDbHl"/>.</summary>
    public const double HighestLevelDbHl = Decisions.StepDecider.ConfirmedCeilingDbHl;

    /// <summary>Most frequencies of one ear search: the eleven of ISO 8253-1 and as many retests.</summary>
    public const int MostFrequencies = 22;

    public static void Check(StepRequest? request, Faults faults)
    {
        switch (request)
        {
            case null:
                faults.Need(false, "The step is empty.");
                break;
            case MeasureRoomStep room:
                faults.InRange(room.DurationSeconds, 1, 60, "the measuring time", "s");
                faults.Known(room.Criterion, "limits");
                break;
            case ProveSidesStep sides:
                faults.InRange(sides.TrialCount, 4, 12, "the number of tones", "tones");
                Frequency(sides.FrequencyHz, faults);
                Level(sides.LevelDbHl, faults);
                break;
            case PresentToneStep tone:
                faults.Known(tone.Ear, "ear");
                faults.Known(tone.Shape, "shape");
                Frequency(tone.FrequencyHz, faults);
                Level(tone.LevelDbHl, faults);
                faults.InRange(tone.DurationMs, 200, 10_000, "the duration", "ms");
                faults.Known(tone.Route, "route");
                if (tone.MaskerDbEm is { } masker)
                {
                    faults.InRange(masker, HearingLevels.LowestPresentedDbHl, HighestLevelDbHl, "the masker", "dB of effective masking");
                }

                break;
            case SearchThresholdStep search:
                faults.Known(search.Route, "route");
                faults.Known(search.Ear, "ear");
                faults.Known(search.Rule, "rule");
                faults.Known(search.Shape, "shape");
                Frequency(search.FrequencyHz, faults);
                break;
            case WearGearStep wear:
                faults.Known(wear.Route, "route");
                faults.Need(wear.Route == ConductionRoute.Air == wear.Ear is null, "By bone the step names the ear under test, by air it names none.");
                break;
            case MeasurePartStep part:
                faults.Need(part.Part is not null && Enum.IsDefined(part.Part.Ear) && Enum.IsDefined(part.Part.Route), "The step names no part of the audiogram.");
                break;
            case SearchEarStep search:
                faults.Known(search.Ear, "ear");
                faults.Known(search.Rule, "rule");
                faults.Known(search.Shape, "shape");
                faults.InRange(search.FrequenciesHz?.Count ?? 0, 1, MostFrequencies, "the number of frequencies", "frequencies");
                foreach (var hertz in (search.FrequenciesHz ?? []).Distinct())
                {
                    Frequency(hertz, faults);
                }

                break;
        }
    }

    private static void Level(double level, Faults faults) => faults.InRange(level, HearingLevels.LowestPresentedDbHl, HighestLevelDbHl, "the level", "dB HL");

    private static void Frequency(int hertz, Faults faults) => faults.Need(
        AudiometricFrequency.TryConventional(hertz, out _),
        $"{hertz} Hz is not an audiometric frequency; use one of {string.Join(", ", AudiometricFrequency.All.Select(frequency => frequency.Hertz))} Hz.");
}
