using System.Data.Common;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>Reads the kit board once after the hub has started, beside its work: the first coordinator of the day need not wait while every kit's facts are read and verified.</summary>
internal sealed partial class BoardReadAhead(KitBoardReader reader, ILogger<BoardReadAhead> log) : BackgroundService
{
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        try
        {
            await reader.Read(stoppingToken);
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The hub stops before the board was read: nothing is owed.
        }
        catch (DbException fault)
        {
            // Whoever opens the board reads it anew, and is told what is wrong then.
            Log.NotRead(log, fault);
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 1411, Level = LogLevel.Warning, Message = "The kit board could not be read ahead")]
        public static partial void NotRead(ILogger logger, Exception fault);
    }
}
