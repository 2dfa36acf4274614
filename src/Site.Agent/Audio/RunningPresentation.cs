namespace TeleHearing.Site.Agent.Audio;

/// <summary>A presentation with its place on the kit clock. Used by the audio loop alone, but for its completion.</summary>
internal sealed class RunningPresentation(Presentation presentation, int silenceCount, CancellationToken token)
{
    public Presentation Presentation => presentation;

    /// <summary>How often silence had been asked for when it was handed over; any later asking ends it.</summary>
    public int SilenceCount => silenceCount;

    public CancellationToken Token => token;

    public TaskCompletionSource<PresentationResult> Done { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public List<ButtonPress> Presses { get; } = [];

    /// <summary>First frame of all.</summary>
    public long StartFrame { get; private set; }

    /// <summary>First frame of the tone, or of the silence in its place.</summary>
    public long OnsetFrame { get; private set; }

    /// <summary>First frame handed over after its last one was heard.</summary>
    public long EndFrame { get; private set; }

    /// <summary>Puts it on the clock.</summary>
    /// <param name="frame">Next frame to be handed over.</param>
    /// <param name="latencyFrames">Frames by which the sound comes later. The presentation stays in hand for as long, so that a fault of the device that comes with the last sample still counts.</param>
    public void Begin(long frame, int latencyFrames)
    {
        StartFrame = frame;
        OnsetFrame = frame + presentation.LeadFrames;
        EndFrame = frame + presentation.TotalFrames + latencyFrames;
    }

    /// <summary>What the microphone heard while the frames from <paramref name="heard"/> on sounded.</summary>
    public void Hear(long heard, ReadOnlySpan<float> mono) => presentation.Room?.Hear(heard - OnsetFrame, mono);
}
