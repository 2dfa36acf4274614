using System.Text.Json.Nodes;
using TeleHearing.Links;

namespace TeleHearing.Testing.Messages;

/// <summary>One record of SignalR's JSON protocol as it passes a <see cref="MessageProxy"/>: its text with its seal, without its end.</summary>
/// <param name="Connection">The connection it passes on.</param>
/// <param name="Direction">Which way it goes.</param>
/// <param name="Text">Everything up to the end of the record.</param>
public sealed record WireRecord(WireConnection Connection, LinkDirection Direction, string Text)
{
    private const char SealStart = (char)LinkSeal.SealStart;

    /// <summary>What is sealed: a JSON object.</summary>
    public string Body => Text.IndexOf(SealStart, StringComparison.Ordinal) is >= 0 and var at ? Text[..at] : Text;

    /// <summary>The seal with its separator; empty when there is none.</summary>
    public string Seal => Text[Body.Length..];

    /// <summary>Number in the seal; -1 without one.</summary>
    public long Number => Seal.Length > 1 && long.TryParse(Seal[1..Math.Max(1, Seal.IndexOf('.', StringComparison.Ordinal))], out var number) ? number : -1;

    /// <summary>Kind of the message: 1 a call, 3 its answer, 6 a sign of life, 7 the end; 0 the handshake.</summary>
    public int Kind => Json["type"]?.GetValue<int>() ?? 0;

    /// <summary>What is called; empty when nothing is.</summary>
    public string Target => Json["target"]?.GetValue<string>() ?? string.Empty;

    /// <summary>The message, a fresh copy at every call.</summary>
    public JsonObject Json => JsonNode.Parse(Body) as JsonObject ?? [];

    /// <summary>The same record with another text.</summary>
    public WireRecord With(string text) => this with { Text = text };
}
