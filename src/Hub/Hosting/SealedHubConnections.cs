using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR;
using Microsoft.Extensions.Options;
using TeleHearing.Links;

namespace TeleHearing.Hub.Hosting;

/// <summary>Opens and seals the records of connections that were asked for with a key (docs/decisions/0049). One without is served as it is: an older peer.</summary>
internal sealed partial class SealedHubConnections<THub>(
    HubLifetimeManager<THub> lifetimes,
    IHubProtocolResolver protocols,
    IOptions<HubOptions> all,
    IOptions<HubOptions<THub>> own,
    ILoggerFactory loggers,
    IUserIdProvider users,
    IServiceScopeFactory scopes,
    TimeProvider time)
    : HubConnectionHandler<THub>(lifetimes, protocols, all, own, loggers, users, scopes)
    where THub : Microsoft.AspNetCore.SignalR.Hub
{
    private readonly ILogger _log = loggers.CreateLogger<SealedHubConnections<THub>>();

    public override async Task OnConnectedAsync(ConnectionContext connection)
    {
        var asked = connection.GetHttpContext()?.Request.Query[LinkKey.QueryName].ToString();
        if (string.IsNullOrEmpty(asked))
        {
            await base.OnConnectedAsync(connection);
            return;
        }

        if (LinkKey.Read(asked) is not { } key)
        {
            Log.NoKey(_log, typeof(THub).Name);
            connection.Abort();
            return;
        }

        var (plain, heard) = (connection.Transport, new LinkHeard(time));
        connection.Features.Set(heard);
        connection.Transport = SealedPipe.AtHub(plain, key, HubRouting.LargestMessage, fault => Log.Caught(_log, typeof(THub).Name, fault.Defence, fault.Expected), heard);
        try
        {
            await base.OnConnectedAsync(connection);
        }
        finally
        {
            connection.Transport = plain;
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 1101, Level = LogLevel.Warning, Message = "{Hub}: record {Expected} did not come as it was sent ({Defence}). Nothing of it was used; the connection ends")]
        public static partial void Caught(ILogger logger, string hub, LinkDefence defence, long expected);

        [LoggerMessage(EventId = 1102, Level = LogLevel.Warning, Message = "{Hub}: a connection was asked for with a key that is none; it was not served")]
        public static partial void NoKey(ILogger logger, string hub);
    }
}
