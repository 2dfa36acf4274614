using System.Globalization;
using System.Net;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Records;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Data;

/// <summary>A file of an export.</summary>
/// <param name="Name">Its path inside the export.</param>
/// <param name="Content">Its text.</param>
internal sealed record ExportedFile(string Name, string Content);

/// <summary>Everything that is recorded about a person, for that person: as data and as a page to read.</summary>
internal sealed class PersonExport(IDbContextFactory<HubContext> contexts, SessionStore store, RecordExport records, OtherLogs otherLogs, TimeProvider time)
{
    private static readonly JsonSerializerOptions _indented = Protocol.Configure(new JsonSerializerOptions { WriteIndented = true });

    /// <summary>Which sessions it holds.</summary>
    /// <exception cref="DataFault">There is no such person.</exception>
    public async Task<IReadOnlyList<Guid>> Sessions(string reference, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        return [.. Of(reference, await context.Sessions.AsNoTracking().Where(session => session.ErasedTicks == null).ToListAsync(cancellationToken)).Select(session => session.SessionId)];
    }

    /// <summary>Gathers it.</summary>
    /// <exception cref="DataFault">There is no such person.</exception>
    public async Task<IReadOnlyList<ExportedFile>> Gather(string reference, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var all = await context.Sessions.AsNoTracking().Where(session => session.ErasedTicks == null).ToListAsync(cancellationToken);
        var sessions = Of(reference, all);
        var staff = (await context.Users.AsNoTracking().ToListAsync(cancellationToken)).Select(user => user.DisplayName);
        var others = new OtherPersons(
            staff,
            all.Except(sessions).SelectMany(session => new[] { session.PersonName, session.PersonReference }),
            [.. sessions.SelectMany(session => new[] { session.PersonName, session.PersonReference })]);
        var files = new List<ExportedFile>();
        var page = new Page(others, reference, sessions[^1], time);
        foreach (var session in sessions)
        {
            var id = new SessionId(session.SessionId);
            var record = await records.Read(id, cancellationToken) ?? throw DataFault.Nobody(reference, "exported");
            var events = await Events(id, cancellationToken);
            page.Add(session, record, events);
            files.Add(new ExportedFile($"sessions/{session.SessionId}/record.json", Text(others, JsonSerializer.SerializeToNode(record, _indented))));
            files.Add(new ExportedFile($"sessions/{session.SessionId}/events.json", Text(others, new JsonArray([.. events.Select(row => row.DeepClone())]))));
        }

        var elsewhere = await otherLogs.About(sessions, [.. all.Except(sessions)], cancellationToken);
        page.Add(elsewhere);
        files.Add(new ExportedFile("kits-and-loans.json", Text(others, JsonSerializer.SerializeToNode(elsewhere, _indented))));
        files.Insert(0, new ExportedFile("person.json", Text(others, JsonSerializer.SerializeToNode(sessions.Select(session => new PersonTested(session.PersonReference, session.PersonName, session.BirthDate, session.Referral) { Language = session.PersonLanguage ?? string.Empty }).Distinct(), _indented))));
        files.Insert(0, new ExportedFile("index.html", page.Html()));
        return files;
    }

    /// <summary>Writes it into a new folder.</summary>
    /// <exception cref="DataFault">There is no such person, or the folder cannot be made.</exception>
    public async Task Write(string reference, DirectoryInfo folder, CancellationToken cancellationToken)
    {
        var files = await Gather(reference, cancellationToken);
        if (folder.Exists && folder.EnumerateFileSystemInfos().Any())
        {
            throw new DataFault($"{folder} is there and not empty. Nothing was written. Name a new folder.");
        }

        try
        {
            PrivateFolder.Make(folder.FullName);
            foreach (var file in files)
            {
                var path = Path.Combine(folder.FullName, file.Name);
                PrivateFolder.Make(Path.GetDirectoryName(path)!);
                await File.WriteAllTextAsync(path, file.Content, cancellationToken);
            }
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw DataFault.CannotWrite(folder.FullName, fault);
        }
    }

    private static IReadOnlyList<SessionEntity> Of(string reference, IReadOnlyList<SessionEntity> all) =>
        all.Where(session => session.PersonReference == reference).OrderBy(session => session.PlannedStartTicks).ToList() is { Count: > 0 } sessions
            ? sessions
            : throw DataFault.Nobody(reference, "exported");

    private async Task<IReadOnlyList<JsonNode>> Events(SessionId id, CancellationToken cancellationToken) =>
    [
        .. (await store.ReadRows(id, cancellationToken) ?? []).Select(row => new JsonObject
        {
            ["sequence"] = row.Sequence,
            ["at"] = new DateTimeOffset(row.TimeTicks, TimeSpan.Zero).ToString("O", CultureInfo.InvariantCulture),
            ["kind"] = row.Kind,
            ["what"] = store.Text(row) is { Length: > 0 } text ? JsonNode.Parse(text) : null,
        }),
    ];

    private static string Text(OtherPersons others, JsonNode? node) => others.Without(node)!.ToJsonString(_indented);

    /// <summary>The page to read.</summary>
    private sealed class Page(OtherPersons others, string reference, SessionEntity person, TimeProvider time)
    {
        private readonly StringBuilder _body = new();

        public void Add(SessionEntity session, SessionRecord record, IReadOnlyList<JsonNode> events)
        {
            _body.Append(CultureInfo.InvariantCulture, $"<section><h2>Session of {new DateTimeOffset(session.PlannedStartTicks, TimeSpan.Zero):yyyy-MM-dd HH:mm} UTC</h2>");
            _body.Append(CultureInfo.InvariantCulture, $"<p>Place: {E(session.Place)}. Why: {E(session.Referral)}. Where it stands: {Coded(record.Stage.ToString())}.</p>");
            if (record.Thresholds.Count > 0)
            {
                _body.Append("<table><caption>Hearing thresholds</caption><tr><th>Ear</th><th>Frequency, Hz</th><th>Outcome</th></tr>");
                foreach (var threshold in record.Thresholds.Select(evidence => evidence.Threshold))
                {
                    _body.Append(CultureInfo.InvariantCulture, $"<tr><td>{Coded(threshold.Ear.ToString())}</td><td>{threshold.FrequencyHz}</td><td>{Coded(JsonSerializer.Serialize(threshold.Outcome, Protocol.Json))}</td></tr>");
                }

                _body.Append("</table>");
            }

            foreach (var note in record.Notes)
            {
                _body.Append(CultureInfo.InvariantCulture, $"<p>Note: {E(note.Text)}</p>");
            }

            _body.Append(CultureInfo.InvariantCulture, $"<details><summary>Everything that was recorded, {events.Count} entries</summary><ol>");
            foreach (var entry in events)
            {
                _body.Append(CultureInfo.InvariantCulture, $"<li>{Coded((string?)entry["at"] ?? "")} {Coded((string?)entry["kind"] ?? "")} <code>{Tree(entry["what"])}</code></li>");
            }

            _body.Append("</ol></details></section>");
        }

        public void Add(IReadOnlyList<OtherEntry> elsewhere)
        {
            if (elsewhere.Count == 0)
            {
                return;
            }

            _body.Append(CultureInfo.InvariantCulture, $"<section><h2>In the logs of kits and loans</h2><details><summary>What was recorded there, {elsewhere.Count} entries</summary><ol>");
            foreach (var entry in elsewhere)
            {
                _body.Append(CultureInfo.InvariantCulture, $"<li>{entry.At:yyyy-MM-dd HH:mm} UTC {Coded(entry.Log)} {Coded(entry.Kind)} <code>{Tree(entry.What)}</code></li>");
            }

            _body.Append("</ol></details></section>");
        }

        public string Html() => $$"""
            <!doctype html>
            <html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>What is recorded about {{E(reference)}}</title>
            <style>body{font:1.1rem/1.5 sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem}table{border-collapse:collapse}th,td{border:1px solid #666;padding:.3rem .6rem;text-align:left}code{white-space:pre-wrap;overflow-wrap:anywhere}</style></head>
            <body><main><h1>What is recorded about {{E(person.PersonName)}}</h1>
            <p>Reference {{E(reference)}}, born {{person.BirthDate.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)}}. Made {{time.GetUtcNow().UtcDateTime.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture)}} UTC. Names of others are left out. The same as data is in the files beside this page.</p>
            {{_body}}</main></body></html>
            """;

        private string E(string text) => WebUtility.HtmlEncode(others.Without(text));

        /// <summary>What nobody typed.</summary>
        private static string Coded(string text) => WebUtility.HtmlEncode(text);

        private string Tree(JsonNode? node) => Coded(others.Without(node?.DeepClone())?.ToJsonString(_indented) ?? string.Empty);
    }
}
