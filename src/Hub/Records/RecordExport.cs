using System.Text.Json;
using System.Text.Json.Nodes;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Records;

/// <summary>Gives out a session's record and its events as files.</summary>
public sealed class RecordExport
{
    private static readonly JsonSerializerOptions _indented = Protocol.Configure(new JsonSerializerOptions { WriteIndented = true });

    private readonly SessionStore _store;

    internal RecordExport(SessionStore store) => _store = store;

    /// <summary>The record.</summary>
    /// <returns>Null when there is no such session.</returns>
    public async Task<SessionRecord?> Read(SessionId sessionId, CancellationToken cancellationToken) =>
        await _store.Load(sessionId, cancellationToken) is { } loaded ? RecordBuilder.Build(loaded) : null;

    /// <summary>The record as the text of record.json.</summary>
    /// <returns>Null when there is no such session.</returns>
    public async Task<string?> ReadJson(SessionId sessionId, CancellationToken cancellationToken) =>
        await Read(sessionId, cancellationToken) is { } record ? JsonSerializer.Serialize(record, _indented) : null;

    /// <summary>The events as lines of events.jsonl, each with its hash: sequence, time, kind, shape, payload, the payload as it is stored and hashed, previous hash, hash.</summary>
    /// <returns>Null when there is no such session.</returns>
    public async Task<IReadOnlyList<string>?> ReadEventLines(SessionId sessionId, CancellationToken cancellationToken) =>
        await _store.ReadRows(sessionId, cancellationToken) is { } rows ? [.. rows.Select(row => Line(row, _store.Text(row)))] : null;

    /// <summary>Why nothing of a session may leave the clinic; absent when it may, and when there is no such session.</summary>
    public async Task<Refusal?> WhyNotToOthers(SessionId sessionId, CancellationToken cancellationToken) =>
        (await _store.Load(sessionId, cancellationToken))?.State.Consent.WhyNot(ConsentPurpose.Sharing);

    private static string Line(SessionEventRow row, string payload) => new JsonObject
    {
        ["sequence"] = row.Sequence,
        ["at"] = new DateTimeOffset(row.TimeTicks, TimeSpan.Zero).ToString("O", System.Globalization.CultureInfo.InvariantCulture),
        ["timeTicks"] = row.TimeTicks,
        ["kind"] = row.Kind,
        ["shape"] = row.Shape,

        ["payload"] = payload,

        // Exactly as it is stored and was hashed, so that whoever has the file can follow the chain.
        ["sealed"] = row.Payload,
        ["previousHash"] = Convert.ToHexStringLower(row.PreviousHash),
        ["hash"] = Convert.ToHexStringLower(row.Hash),
    }.ToJsonString();
}
