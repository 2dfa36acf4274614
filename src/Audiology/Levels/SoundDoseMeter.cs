namespace TeleHearing.Audiology.Levels;

/// <summary>A sound one ear was given.</summary>
/// <param name="Ear">The ear.</param>
/// <param name="LevelDbA">A-weighted diffuse-field level while it was on, dB (<see cref="DiffuseFieldLevel"/>).</param>
/// <param name="Seconds">How long it was on, s; of a pulsed sound only the pulses count.</param>
public sealed record SoundExposure(Ear Ear, double LevelDbA, double Seconds);

/// <summary>The sound dose of a session, for each ear.</summary>
/// <remarks>
/// NIOSH 1998 (confirmed): 100 % is 85 dB(A) for eight hours, and every 3 dB halve the time. Levels are taken as diffuse-field levels that are as far above threshold as what the earphone
/// gave, and below 80 dB they are counted too. The figure informs: it knows nothing of the rest of the person's day, it is no limit for a test of hearing, and a low figure does not make a
/// loud sound safe. Local rules and the judgement of a licensed practitioner come first. A meter is never changed; adding makes a new one.
/// </remarks>
/// <param name="RightPercent">Dose of the right ear in percent of a day's.</param>
/// <param name="LeftPercent">Dose of the left ear in percent of a day's.</param>
public sealed record SoundDoseMeter(double RightPercent, double LeftPercent)
{
    /// <summary>Level allowed for <see cref="CriterionSeconds"/>, dB(A) (NIOSH 1998).</summary>
    public const double CriterionDbA = 85;

    /// <summary>Eight hours in s (NIOSH 1998).</summary>
    public const double CriterionSeconds = 28_800;

    /// <summary>Rise in level that halves the time, dB (NIOSH 1998).</summary>
    public const double ExchangeDb = 3;

    /// <summary>A session in which nothing was played.</summary>
    public static SoundDoseMeter Empty { get; } = new(0, 0);

    /// <summary>How long a level is allowed in a day, s.</summary>
    public static double AllowedSeconds(double levelDbA) => CriterionSeconds / Math.Pow(2, (levelDbA - CriterionDbA) / ExchangeDb);

    /// <summary>The dose with one exposure more.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The level or time is no finite number, or the time is negative.</exception>
    public SoundDoseMeter Add(SoundExposure exposure)
    {
        ArgumentNullException.ThrowIfNull(exposure);
        if (!double.IsFinite(exposure.LevelDbA) || !double.IsFinite(exposure.Seconds) || exposure.Seconds < 0)
        {
            throw new ArgumentOutOfRangeException(nameof(exposure), exposure, "An exposure needs a finite level and a time of 0 s or more.");
        }

        var percent = 100 * exposure.Seconds / AllowedSeconds(exposure.LevelDbA);
        return exposure.Ear == Ear.Right ? this with { RightPercent = RightPercent + percent } : this with { LeftPercent = LeftPercent + percent };
    }
}
