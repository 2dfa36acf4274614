using System.Text.Json;
using StackExchange.Redis;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;

namespace TeleHearing.Hub.Neighbours;

/// <summary>What one hub tells the others at once.</summary>
internal enum WireWord
{
    /// <summary>Something was committed: look at the log.</summary>
    Look,

    /// <summary>A kit came to a hub or went from it.</summary>
    Kits,

    /// <summary>The picture of a kit changed.</summary>
    Kit,

    /// <summary>The picture of the fleet changed.</summary>
    Fleet,

    /// <summary>A live signal of a kit, for whoever watches its session.</summary>
    Signal,

    /// <summary>A kit's right to link was taken away.</summary>
    Revoke,

    /// <summary>A sign-in was confirmed, covered or ended.</summary>
    SignIn,
}

/// <summary>A word from a hub.</summary>
/// <param name="From">Which hub.</param>
/// <param name="Word">What.</param>
/// <param name="Id">What it is about.</param>
/// <param name="Text">Why.</param>
/// <param name="Signal">The signal.</param>
internal sealed record WireMessage(Guid From, WireWord Word, string? Id = null, string? Text = null, LiveSignal? Signal = null);

/// <summary>Tells the other hubs at once what they would find in the store a moment later. Nothing rests on a word arriving, except a live signal, which is worth nothing later. Any thread.</summary>
internal sealed partial class HubWire : IAsyncDisposable
{
    private static readonly RedisChannel _channel = RedisChannel.Literal("telehearing:hubs");

    private readonly HubSettings _settings;
    private readonly HubClock _clock;
    private readonly ILogger<HubWire> _log;
    private ConnectionMultiplexer? _redis;

    public HubWire(HubSettings settings, HubClock clock, ILogger<HubWire> log) => (_settings, _clock, _log) = (settings, clock, log);

    /// <summary>Whether there is a wire and it stands.</summary>
    public bool Stands => _redis is { IsConnected: true };

    /// <summary>Tells the others; waits for nothing.</summary>
    public void Tell(WireWord word, string? id = null, string? text = null, LiveSignal? signal = null)
    {
        if (_redis is not { IsConnected: true } redis)
        {
            return;
        }

        try
        {
            redis.GetSubscriber().Publish(_channel, JsonSerializer.SerializeToUtf8Bytes(new WireMessage(_clock.RunId, word, id, text, signal), Protocol.Json), CommandFlags.FireAndForget);
        }
        catch (Exception fault) when (fault is RedisException or TimeoutException or ObjectDisposedException)
        {
            Log.NotTold(_log, fault, word);
        }
    }

    /// <summary>Begins to hear the others; where there is no wire nothing happens.</summary>
    /// <param name="heard">Called for each word of another hub; must not wait.</param>
    public async Task Listen(Action<WireMessage> heard)
    {
        if (_settings.Redis is not { } address)
        {
            return;
        }

        var options = ConfigurationOptions.Parse(address);
        options.AbortOnConnectFail = false;
        options.ClientName ??= "telehearing-hub";
        _redis = await ConnectionMultiplexer.ConnectAsync(options);
        await _redis.GetSubscriber().SubscribeAsync(_channel, (_, payload) =>
        {
            if (Read(payload) is { } message && message.From != _clock.RunId)
            {
                heard(message);
            }
        });
    }

    public async ValueTask DisposeAsync()
    {
        if (_redis is not null)
        {
            await _redis.DisposeAsync();
        }
    }

    private WireMessage? Read(RedisValue payload)
    {
        try
        {
            return JsonSerializer.Deserialize<WireMessage>(((ReadOnlyMemory<byte>)payload).Span, Protocol.Json);
        }
        catch (JsonException fault)
        {
            // A hub of another version may say what this one does not know; the store says it too.
            Log.NotUnderstood(_log, fault);
            return null;
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 4001, Level = LogLevel.Warning, Message = "The other hubs could not be told at once: {Word}")]
        public static partial void NotTold(ILogger logger, Exception fault, WireWord word);

        [LoggerMessage(EventId = 4002, Level = LogLevel.Warning, Message = "A word of another hub was not understood")]
        public static partial void NotUnderstood(ILogger logger, Exception fault);
    }
}
