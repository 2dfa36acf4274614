namespace TeleHearing.Audiology.Simulation;

/// <summary>Ranges of <see cref="VirtualListenerSettings"/> that no part below checks.</summary>
internal static class VirtualListenerRules
{
    public static void ThrowIfUnusable(VirtualListenerSettings settings)
    {
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            Require(settings.Rows.Any(row => row.Ear == ear), $"The simulated person has no thresholds for the {ear} ear.");
            Require(settings.Output.Any(output => output.Ear == ear), $"The simulated earphone has no output for the {ear} ear.");
        }

        Require(settings.SampleRateHz is >= 32_000 and <= 192_000, "The sample rate must be 32 000 to 192 000 Hz.");
        Require(settings.SlopeSdDb is > 0 and <= 20, "The spread must be above 0 and at most 20 dB.");
        Require(settings.LapseRate is >= 0 and <= 1, "The lapse rate must be 0 to 1.");
        Require(settings.FalseAlarmsPerMinute is >= 0 and <= 600, "False alarms must be 0 to 600 a minute.");
        Require(settings.ReactionMedianMs is > 0 and <= 10_000, "The median reaction time must be above 0 and at most 10 000 ms.");
        Require(settings.ReactionLogSd is >= 0 and <= 2, "The spread of the reaction time must be 0 to 2.");
        Require(settings.PressMedianMs is > 0 and <= 10_000, "The median press must be above 0 and at most 10 000 ms.");
        Require(double.IsFinite(settings.RoomSplAtRmsOneDb), "The scale of the room must be a finite number.");
    }

    private static void Require(bool holds, string sentence)
    {
        if (!holds)
        {
            throw new ArgumentException(sentence, "settings");
        }
    }
}
