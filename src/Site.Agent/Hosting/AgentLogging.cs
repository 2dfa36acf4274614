using Serilog;
using Serilog.Core;
using Serilog.Events;
using Serilog.Formatting.Compact;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>Logs to DIR/logs as lines of JSON and to standard error in words. Ids and kinds only: nothing about a person ever reaches a logger.</summary>
internal static class AgentLogging
{
    private const int FilesKept = 14;
    private const long LargestFileBytes = 10 * 1024 * 1024;

    public static Logger Make(string dataFolder) => new LoggerConfiguration()
        .MinimumLevel.Information()
        .MinimumLevel.Override("Microsoft", LogEventLevel.Warning)
        .MinimumLevel.Override("System", LogEventLevel.Warning)
        .WriteTo.Console(standardErrorFromLevel: LogEventLevel.Verbose, formatProvider: System.Globalization.CultureInfo.InvariantCulture)
        .WriteTo.File(
            new CompactJsonFormatter(),
            Path.Combine(dataFolder, "logs", "agent-.log"),
            rollingInterval: RollingInterval.Day,
            retainedFileCountLimit: FilesKept,
            fileSizeLimitBytes: LargestFileBytes,
            rollOnFileSizeLimit: true)
        .CreateLogger();
}
