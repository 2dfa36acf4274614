using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json.Nodes;
using TeleHearing.Links;

namespace TeleHearing.Testing.Messages;

/// <summary>Does one thing of a class of errors to a record, chosen from a seed, with knowledge of what the record is. Delay is the caller's: it is a matter of time, not of text.</summary>
public sealed class Mutator(int seed)
{
    private const char SealStart = (char)LinkSeal.SealStart;

    private static readonly string[] _invented =
    [
        """{"type":1,"target":"RenewLease","arguments":[{"number":999999,"hubRunId":"3f0d8f3c-2f0b-4f0e-9a3a-6f2a5f0b7c11","hubMs":1,"lengthMs":1000}]}""",
        """{"type":1,"target":"Cut","arguments":["3f0d8f3c-2f0b-4f0e-9a3a-6f2a5f0b7c11"]}""",
        """{"type":1,"target":"ShowScene","arguments":[{"sessionId":"3f0d8f3c-2f0b-4f0e-9a3a-6f2a5f0b7c11","stage":"Testing","assistantDone":false,"stopped":false,"controlEpoch":999}]}""",
        """{"type":1,"target":"Wipe","arguments":[{"sessions":[]}]}""",
        """{"type":3,"invocationId":"1","result":{"acknowledgedSequence":999999}}""",
        """{"type":1,"target":"LeaveFleet","arguments":[]}""",
        """{"type":1,"target":"RenewControl","arguments":["3f0d8f3c-2f0b-4f0e-9a3a-6f2a5f0b7c11"]}""",
        """{"type":6}""",
        """{"type":7}""",
    ];

    private readonly Random _random = new(seed);
    private string? _kept;

    /// <summary>What is handed on in the record's place.</summary>
    /// <param name="error">Class of error; not <see cref="CommunicationError.Delay"/>.</param>
    /// <param name="record">The record.</param>
    /// <param name="others">Records that passed the same way on other connections.</param>
    /// <param name="complete">Whether it is done; a swap needs a second record.</param>
    public IReadOnlyList<string> Change(CommunicationError error, WireRecord record, IReadOnlyList<string> others, out bool complete)
    {
        ArgumentNullException.ThrowIfNull(record);
        ArgumentNullException.ThrowIfNull(others);
        complete = true;
        switch (error)
        {
            case CommunicationError.Corruption:
                return [Corrupt(record)];
            case CommunicationError.Repetition:
                var before = record.Connection.Passed(record.Direction);
                return before.Count > 0 && _random.Next(2) == 0 ? [before[_random.Next(before.Count)], record.Text] : [record.Text, record.Text];
            case CommunicationError.WrongOrder when _kept is null:
                (_kept, complete) = (record.Text, false);
                return [];
            case CommunicationError.WrongOrder:
                var kept = _kept;
                _kept = null;
                return [record.Text, kept];
            case CommunicationError.Loss:
                return [];
            case CommunicationError.Insertion:
                return _random.Next(2) == 0 ? [Invented(record), record.Text] : [record.Text, Invented(record with { Text = Next(record) })];
            case CommunicationError.Masquerade:
                return [Masked(record)];
            case CommunicationError.WrongAddress:
                return [others.Count > 0 ? others[_random.Next(others.Count)] : Sealed(record.Body, record, LinkKey.Make())];
            default:
                throw new ArgumentOutOfRangeException(nameof(error), error, "A matter of time.");
        }
    }

    /// <summary>One field of the message, its name, its seal, or one bit anywhere.</summary>
    private string Corrupt(WireRecord record)
    {
        switch (_random.Next(5))
        {
            case 0 or 1 when Leaves(record.Json) is { Count: > 0 } leaves:
                return ChangeField(record, leaves[_random.Next(leaves.Count)]) + record.Seal;
            case 2 when record.Seal.Length > 0:
                var at = _random.Next(1, record.Seal.Length);
                return record.Body + record.Seal[..at] + Other(record.Seal[at]) + record.Seal[(at + 1)..];
            case 3:
                var cut = _random.Next(record.Text.Length);
                return record.Text.Remove(cut, 1);
            default:
                var bytes = Encoding.ASCII.GetBytes(record.Text.Replace("\u001e", string.Empty, StringComparison.Ordinal));
                var flipped = _random.Next(bytes.Length);
                bytes[flipped] ^= (byte)(1 << _random.Next(7));
                return Encoding.ASCII.GetString(bytes);
        }
    }

    private string ChangeField(WireRecord record, IReadOnlyList<object> path)
    {
        JsonNode root = record.Json;
        var node = root;
        foreach (var step in path.SkipLast(1))
        {
            node = step is int index ? node[index]! : node[(string)step]!;
        }

        JsonNode? leaf = path[^1] is int place ? node[place] : node[(string)path[^1]];
        var changed = Another(leaf);
        if (path[^1] is int at)
        {
            node[at] = changed;
        }
        else
        {
            node[(string)path[^1]] = changed;
        }

        return root.ToJsonString();
    }

    private JsonNode? Another(JsonNode? leaf) => leaf is not JsonValue value ? JsonValue.Create(_random.Next())
        : value.TryGetValue<bool>(out var flag) ? JsonValue.Create(!flag)
        : value.TryGetValue<long>(out var whole) ? JsonValue.Create(whole + _random.Next(1, 50))
        : value.TryGetValue<double>(out var number) ? JsonValue.Create(number + 5)
        : value.GetValue<string>() is { Length: > 0 } text ? JsonValue.Create(text[..^1] + Other(text[^1]))
        : JsonValue.Create("x");

    private static List<IReadOnlyList<object>> Leaves(JsonNode? root)
    {
        var found = new List<IReadOnlyList<object>>();
        Walk(root, []);
        return found;

        void Walk(JsonNode? node, IReadOnlyList<object> path)
        {
            switch (node)
            {
                case JsonObject fields:
                    foreach (var (name, value) in fields)
                    {
                        Walk(value, [.. path, name]);
                    }

                    break;
                case JsonArray items:
                    for (var i = 0; i < items.Count; i++)
                    {
                        Walk(items[i], [.. path, i]);
                    }

                    break;
                default:
                    if (path.Count > 0)
                    {
                        found.Add(path);
                    }

                    break;
            }
        }
    }

    /// <summary>A message nobody sent: bare, with the seal of another, or sealed with a key that is not the connection's, always with the number that is due.</summary>
    private string Invented(WireRecord record)
    {
        var body = _invented[_random.Next(_invented.Length)];
        return _random.Next(3) switch
        {
            0 => body,
            1 => body + record.Seal,
            _ => Sealed(body, record, LinkKey.Make()),
        };
    }

    /// <summary>What the other end sent, sent back to it; or the message by somebody who has a key, but not this connection's.</summary>
    private string Masked(WireRecord record)
    {
        var other = record.Connection.Passed(record.Direction == LinkDirection.ToHub ? LinkDirection.FromHub : LinkDirection.ToHub);
        return other.Count > 0 && _random.Next(2) == 0 ? other[_random.Next(other.Count)] : Sealed(record.Body, record, LinkKey.Make());
    }

    private static string Sealed(string body, WireRecord record, byte[] key)
    {
        using var seal = new LinkSeal(key, record.Direction);
        var sealedText = new System.Buffers.ArrayBufferWriter<byte>();
        for (var number = 0; number <= Math.Max(0, record.Number); number++)
        {
            sealedText.Clear();
            seal.Seal(Encoding.UTF8.GetBytes(body), sealedText);
        }

        return Encoding.UTF8.GetString(sealedText.WrittenSpan[..^1]);
    }

    private static string Next(WireRecord record) =>
        record.Seal.Length == 0 ? record.Text : string.Create(CultureInfo.InvariantCulture, $"{record.Body}{SealStart}{record.Number + 1}{record.Seal[record.Seal.IndexOf('.', StringComparison.Ordinal)..]}");

    private static char Other(char sign) => sign == 'A' ? 'B' : 'A';
}
