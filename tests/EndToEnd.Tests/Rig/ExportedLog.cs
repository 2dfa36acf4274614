using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>A session's events as the hub exports them (events.jsonl), checked without the hub's own code.</summary>
internal sealed class ExportedLog
{
    private readonly SessionId _session;
    private readonly IReadOnlyList<JsonElement> _events;

    private ExportedLog(SessionId session, IReadOnlyList<JsonElement> events)
    {
        _session = session;
        _events = events;
    }

    /// <summary>Number of events.</summary>
    public int Count => _events.Count;

    /// <summary>Reads it over HTTP as the signed-in clinician.</summary>
    public static async Task<ExportedLog> Read(ConsoleLink link, SessionId session, CancellationToken cancellationToken)
    {
        var text = Encoding.UTF8.GetString(await link.Read($"/api/sessions/{session}/events?to=clinic", cancellationToken));
        return new ExportedLog(session, [.. text.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(Parse)]);
    }

    /// <summary>Payloads of one kind, in order.</summary>
    public IReadOnlyList<JsonElement> Of(string kind) =>
        [.. _events.Where(one => one.GetProperty("kind").GetString() == kind).Select(one => Parse(one.GetProperty("payload").GetString()!))];

    /// <summary>How long the last step was in the world, from the hub's order to its last word held there, beyond what it took on the kit's own clock.</summary>
    public TimeSpan BeyondTheKitsOwnTime()
    {
        var ordered = Last("step.ordered");
        var (began, over) = (Last("step.began"), Last("step.over"));
        var world = over.Ticks - ordered.Ticks;
        return TimeSpan.FromTicks(world) - TimeSpan.FromMilliseconds(KitMs(over.Payload) - KitMs(began.Payload));

        static double KitMs(JsonElement payload) => payload.GetProperty("kitMs").GetDouble();
    }

    private (long Ticks, JsonElement Payload) Last(string kind)
    {
        var found = _events.Last(one => one.GetProperty("kind").GetString() == kind);
        return (found.GetProperty("timeTicks").GetInt64(), Parse(found.GetProperty("payload").GetString()!));
    }

    /// <summary>Sequences run from 1 without a gap, and each hash is the SHA-256 of the one before and everything in its own line (docs/protocol.md, "Events").</summary>
    public void AssertChained()
    {
        var previous = new byte[32];
        for (var i = 0; i < _events.Count; i++)
        {
            var one = _events[i];
            Assert.Equal(i + 1, one.GetProperty("sequence").GetInt64());
            Assert.Equal(Convert.ToHexStringLower(previous), one.GetProperty("previousHash").GetString());
            var rest = string.Create(CultureInfo.InvariantCulture, $"{_session.Value:N}\n{i + 1}\n{one.GetProperty("kind")}\n{one.GetProperty("shape")}\n{one.GetProperty("timeTicks")}\n{one.GetProperty("sealed")}");
            previous = SHA256.HashData([.. previous, .. Encoding.UTF8.GetBytes(rest)]);
            Assert.Equal(Convert.ToHexStringLower(previous), one.GetProperty("hash").GetString());
        }
    }

    private static JsonElement Parse(string json)
    {
        using var document = JsonDocument.Parse(json);
        return document.RootElement.Clone();
    }
}
