using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>One stretch of the output stream: silence, a tone or a silent interval that stands for one, and silence again while answers are awaited.</summary>
internal sealed record Presentation
{
    /// <summary>No stimulus may last longer than this, whatever was asked (10 s; design limit, also the longest a clinician may order).</summary>
    public const double LongestToneMs = 10_000;

    /// <summary>No masker may last longer than this: the longest tone with the silences around it (design limit).</summary>
    public const double LongestMaskerMs = 20_000;

    /// <summary>Silence at the end of what has no other, ms: longer than the time between two looks at the mixer, so that a volume moved in the last moment is seen.</summary>
    public const double LastLookMs = 300;

    /// <summary>Silent frames before the onset.</summary>
    public required long LeadFrames { get; init; }

    /// <summary>Frames of the tone, or of the silent interval in its place.</summary>
    public required long BodyFrames { get; init; }

    /// <summary>Silent frames after it.</summary>
    public required long TailFrames { get; init; }

    /// <summary>The tone; absent for a catch trial and for listening to the room.</summary>
    public IStimulus? Tone { get; init; }

    /// <summary>The ear the tone goes to.</summary>
    public Ear Ear { get; init; }

    /// <summary>A sound for the other ear through the whole presentation, silences included, from its own frame 0 on; absent for none.</summary>
    public IStimulus? Masker { get; init; }

    /// <summary>Whether it may go on only while the lease is valid.</summary>
    public required bool NeedsLease { get; init; }

    /// <summary>Hears what the microphone hears, on the audio loop.</summary>
    public IRoomListener? Room { get; init; }

    /// <summary>Whether anything sounds in it.</summary>
    public bool MakesSound => Tone is not null || Masker is not null;

    /// <summary>Everything together.</summary>
    public long TotalFrames => LeadFrames + BodyFrames + TailFrames;
}

/// <summary>Hears the microphone during a presentation. Called on the audio loop: it must be quick and never wait.</summary>
internal interface IRoomListener
{
    /// <summary>One block.</summary>
    /// <param name="framesSinceOnset">Frame of the first sample after the onset; negative before it.</param>
    /// <param name="mono">The samples.</param>
    void Hear(long framesSinceOnset, ReadOnlySpan<float> mono);
}

/// <summary>How a presentation came to its end.</summary>
internal enum PresentationEnd
{
    Complete,

    /// <summary>Silenced by a stop, a cut or a lost link.</summary>
    Silenced,

    /// <summary>The audio loop found the lease lapsed.</summary>
    LeaseLapsed,

    /// <summary>The sound device or its mixer failed.</summary>
    DeviceFault,
}

/// <summary>What became of a presentation.</summary>
/// <param name="End">How it ended.</param>
/// <param name="OnsetFrame">Kit clock frame of the onset, or where it would have been.</param>
/// <param name="Presses">Presses that went down during it.</param>
/// <param name="Fault">What the device's fault was, when it ended with one.</param>
internal sealed record PresentationResult(PresentationEnd End, long OnsetFrame, IReadOnlyList<ButtonPress> Presses, DeviceFault? Fault = null);
