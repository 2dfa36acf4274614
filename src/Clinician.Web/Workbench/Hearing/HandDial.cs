using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Workbench.Hearing;

/// <summary>What the next tone by hand would be.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="Frequency">Frequency.</param>
/// <param name="LevelDbHl">Level in dB HL.</param>
/// <param name="StepDb">Step of the level keys: 1, 2 or 5 dB.</param>
/// <param name="Shape">Steady or pulsed.</param>
/// <param name="DurationMs">Length in ms.</param>
public sealed record HandDial(Ear Ear, AudiometricFrequency Frequency, double LevelDbHl, int StepDb, ToneShape Shape, int DurationMs)
{
    /// <summary>Highest level the dial reaches, dB HL; the kit's own ceilings lie at or below it.</summary>
    public const double HighestDbHl = 120;

    /// <summary>Right ear, 1000 Hz and 30 dB HL: the usual first tone (ASHA 2005, from memory), 1.5 s long (1 to 2 s in ISO 8253-1).</summary>
    public static HandDial First { get; } = new(Ear.Right, AudiometricFrequency.FromHertz(1000), 30, 5, ToneShape.Pulsed, 1500);

    /// <summary>Lowest and highest frequency by bone conduction, Hz: where vibrators are calibrated and airborne sound from them does not mislead (250 Hz to 4 kHz, common practice).</summary>
    private const int LowestBoneHz = 250;

    /// <inheritdoc cref="LowestBoneHz"/>
    private const int HighestBoneHz = 4000;

    /// <summary>Masking when the masker is turned on, before anything is known of the ear, dB EM.</summary>
    private const double FirstMaskerDbEm = 30;

    /// <summary>Highest masking the dial reaches, dB EM; the kit's own ceilings lie at or below it.</summary>
    private const double HighestMaskerDbEm = 100;

    /// <summary>How the tone reaches the ear.</summary>
    public ConductionRoute Route { get; init; }

    /// <summary>Effective masking level in the other ear, dB EM.</summary>
    public double MaskerDbEm { get; init; } = FirstMaskerDbEm;

    /// <summary>Whether the masker is on.</summary>
    public bool Masked { get; init; }

    /// <summary>The dial after an action that turns it; unchanged by any other.</summary>
    public HandDial After(HandAction action) => action switch
    {
        HandAction.Louder => this with { LevelDbHl = Math.Min(HighestDbHl, LevelDbHl + StepDb) },
        HandAction.Softer => this with { LevelDbHl = Math.Max(HearingLevels.LowestPresentedDbHl, LevelDbHl - StepDb) },
        HandAction.HigherFrequency => this with { Frequency = Neighbour(1) },
        HandAction.LowerFrequency => this with { Frequency = Neighbour(-1) },
        HandAction.RightEar => this with { Ear = Ear.Right },
        HandAction.LeftEar => this with { Ear = Ear.Left },
        HandAction.StepOf1 => this with { StepDb = 1 },
        HandAction.StepOf2 => this with { StepDb = 2 },
        HandAction.StepOf5 => this with { StepDb = 5 },
        HandAction.SwitchShape => this with { Shape = Shape == ToneShape.Steady ? ToneShape.Pulsed : ToneShape.Steady },
        HandAction.SwitchRoute => By(Route switch { ConductionRoute.Air => ConductionRoute.BoneMastoid, ConductionRoute.BoneMastoid => ConductionRoute.BoneForehead, _ => ConductionRoute.Air }),
        HandAction.MaskerOnOff => this with { Masked = !Masked },
        HandAction.MaskerLouder => this with { MaskerDbEm = Math.Min(HighestMaskerDbEm, MaskerDbEm + StepDb) },
        HandAction.MaskerSofter => this with { MaskerDbEm = Math.Max(HearingLevels.LowestPresentedDbHl, MaskerDbEm - StepDb) },
        _ => this,
    };

    /// <summary>The step this dial asks for.</summary>
    public PresentToneStep Tone() => new(Ear, Frequency.Hertz, LevelDbHl, Shape, DurationMs) { Route = Route, MaskerDbEm = Masked ? MaskerDbEm : null };

    private HandDial By(ConductionRoute route) => this with
    {
        Route = route,
        Frequency = route == ConductionRoute.Air ? Frequency : AudiometricFrequency.FromHertz(Math.Clamp(Frequency.Hertz, LowestBoneHz, HighestBoneHz)),
    };

    private AudiometricFrequency Neighbour(int direction)
    {
        var all = Route == ConductionRoute.Air
            ? AudiometricFrequency.All
            : [.. AudiometricFrequency.All.Where(frequency => frequency.Hertz is >= LowestBoneHz and <= HighestBoneHz)];
        var place = Enumerable.Range(0, all.Count).First(index => all[index] == Frequency);
        return all[Math.Clamp(place + direction, 0, all.Count - 1)];
    }
}
