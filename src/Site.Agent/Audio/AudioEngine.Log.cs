namespace TeleHearing.Site.Agent.Audio;

internal sealed partial class AudioEngine
{
    private static partial class Log
    {
        [LoggerMessage(EventId = 2002, Level = LogLevel.Critical, Message = "The audio loop failed; the kit stays silent.")]
        public static partial void LoopFailed(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 2001, Level = LogLevel.Error, Message = "A sound device failed; the kit stays silent.")]
        public static partial void DeviceFailed(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 2003, Level = LogLevel.Warning, Message = "Nothing is presented for now. {Sentence}")]
        public static partial void NotTrusted(ILogger logger, string sentence);
    }
}
