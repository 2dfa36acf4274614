namespace TeleHearing.Audiology;

/// <summary>Hearing levels that bind the whole tool.</summary>
public static class HearingLevels
{
    /// <summary>Lowest level ever presented, dB HL: the lowest setting of a conventional instrument (IEC 60645-1, from memory).</summary>
    public const double LowestPresentedDbHl = -10;

    /// <summary>Step of the level control in dB: 5 dB or less is asked for (IEC 60645-1, from memory).</summary>
    public const double StepDb = 5;

    /// <summary>Above this level in dB HL a sound is loud: it needs a deliberate confirmation and a visible warning (the warning: IEC 60645-1:2001, confirmed; the confirmation: a design choice).</summary>
    public const double LoudAboveDbHl = 100;

    /// <summary>The next multiple of the 5 dB step at or above a level.</summary>
    /// <param name="levelDbHl">Level in dB HL; a millionth of a decibel above a step counts as on it, so that sums of measured decibels do not cost a whole step.</param>
    public static double RoundUpToStep(double levelDbHl) => RoundUpToStep(levelDbHl, StepDb);

    /// <summary>The next multiple of the 5 dB step at or below a level.</summary>
    /// <param name="levelDbHl">Level in dB HL.</param>
    public static double RoundDownToStep(double levelDbHl) => RoundDownToStep(levelDbHl, StepDb);

    /// <summary>The next multiple of a step at or above a level.</summary>
    /// <param name="levelDbHl">Level in dB HL; a millionth of a decibel above a step counts as on it.</param>
    /// <param name="stepDb">Step in dB, above 0.</param>
    public static double RoundUpToStep(double levelDbHl, double stepDb) => (Math.Ceiling((levelDbHl - 1e-6) / stepDb) * stepDb) + 0.0;

    /// <summary>The next multiple of a step at or below a level.</summary>
    /// <param name="levelDbHl">Level in dB HL; a millionth of a decibel below a step counts as on it.</param>
    /// <param name="stepDb">Step in dB, above 0.</param>
    public static double RoundDownToStep(double levelDbHl, double stepDb) => (Math.Floor((levelDbHl + 1e-6) / stepDb) * stepDb) + 0.0;

    /// <summary>The multiple of a step nearest to a level; a level half way between two goes to the higher, so that a threshold is never made better by rounding.</summary>
    /// <param name="levelDbHl">Level in dB HL.</param>
    /// <param name="stepDb">Step in dB, above 0.</param>
    public static double RoundToStep(double levelDbHl, double stepDb) => (Math.Floor((levelDbHl / stepDb) + 0.5 + 1e-9) * stepDb) + 0.0;
}
