namespace TeleHearing.Audiology.Simulation;

/// <summary>One presentation as the simulated person takes it: a tone, or a train of pulses with short gaps.</summary>
/// <remarks>Every chance event of a presentation is drawn at its onset, always the same number of them, so that nothing depends on how the sound was cut into blocks. One draw decides whether it is heard: pulses give no second chance.</remarks>
internal sealed class Presentation
{
    private readonly long _onsetFrame;
    private readonly double _luck;
    private readonly bool _lapsed;
    private readonly double _reactionFrames;
    private readonly double _pressFrames;

    public Presentation(long onsetFrame, VirtualListenerSettings settings, Random random)
    {
        _onsetFrame = onsetFrame;
        _luck = random.NextDouble();
        _lapsed = random.NextDouble() < settings.LapseRate;
        _reactionFrames = settings.ReactionMedianMs * Math.Exp(settings.ReactionLogSd * Normal.Next(random)) * settings.SampleRateHz / 1000;
        _pressFrames = settings.PressMedianMs * Math.Exp(settings.ReactionLogSd * Normal.Next(random)) * settings.SampleRateHz / 1000;
    }

    /// <summary>Whether it was heard already.</summary>
    public bool Heard { get; private set; }

    /// <summary>Whether a sound so far above threshold is heard now; only once in a presentation.</summary>
    /// <param name="sensationDb">Level above threshold in dB.</param>
    /// <param name="psychometric">The person's psychometric function with its midpoint at 0 dB above threshold.</param>
    public bool IsHeardNow(double sensationDb, PsychometricFunction psychometric)
    {
        if (Heard || _lapsed || double.IsNaN(sensationDb) || _luck >= psychometric.Probability(sensationDb))
        {
            return false;
        }

        Heard = true;
        return true;
    }

    /// <summary>The response, which cannot come before the moment of hearing.</summary>
    public ListenerPress Response(long heardAtFrame)
    {
        var down = Math.Max(heardAtFrame, _onsetFrame + (long)_reactionFrames);
        return new ListenerPress(down, down + Math.Max(1, (long)_pressFrames));
    }
}
