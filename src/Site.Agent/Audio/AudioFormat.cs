namespace TeleHearing.Site.Agent.Audio;

/// <summary>The one sound format a kit uses from end to end.</summary>
internal static class AudioFormat
{
    /// <summary>Frames per second.</summary>
    public const int SampleRateHz = 48_000;

    /// <summary>Frames handled at a time: 10 ms, the grain at which sound can be cut.</summary>
    public const int BlockFrames = 480;

    /// <summary>Interleaved channels of the output: 0 is left, 1 is right.</summary>
    public const int Channels = 2;

    /// <summary>Frames in a time.</summary>
    public static long FramesOf(double milliseconds) => (long)Math.Round(milliseconds * SampleRateHz / 1000.0);

    /// <summary>Milliseconds in a number of frames.</summary>
    public static double MillisecondsOf(long frames) => frames * 1000.0 / SampleRateHz;
}

/// <summary>How sound blocks follow each other.</summary>
internal enum Pace
{
    /// <summary>One block takes as long as it sounds.</summary>
    Realtime,

    /// <summary>Runs as quickly as the machine can while a presentation is in hand, and waits for work otherwise.</summary>
    Fast,
}
