namespace TeleHearing.Hub.Tests.Sessions.Interleavings;

/// <summary>How a command or an order came about.</summary>
internal enum Attack
{
    /// <summary>Asked now, on the newest picture, by anybody: often rightly, and then it must be carried out.</summary>
    Fresh,

    /// <summary>Sent again as it was.</summary>
    Replayed,

    /// <summary>Somebody else's, sent under one's own name: a colleague's, an assistant's, or that of somebody with no role.</summary>
    Forged,

    /// <summary>Turned to another session.</summary>
    CrossSession,

    /// <summary>Of another time of control.</summary>
    StaleEpoch,

    /// <summary>Past its expiry.</summary>
    Expired,

    /// <summary>Made earlier, sent after other things happened.</summary>
    HeldBack,

    /// <summary>An assistant's.</summary>
    Assistant,

    /// <summary>An order that reaches its kit, late or in its place.</summary>
    OrderDelivered,

    /// <summary>An order that reaches its kit a second time.</summary>
    OrderReplayed,

    /// <summary>An order that reaches another kit.</summary>
    OrderCrossKit,

    /// <summary>An order with nothing wrong but its epoch, after the scene has told the kit of a newer one.</summary>
    OrderOfOldEpoch,
}

/// <summary>What came of everything sent.</summary>
internal sealed class Tally
{
    private readonly long[] _refused = new long[Enum.GetValues<Attack>().Length];
    private readonly long[] _carried = new long[Enum.GetValues<Attack>().Length];
    private readonly Dictionary<string, long> _codes = [];

    /// <summary>Counts an order at its kit by the code it was refused with; null when it was begun.</summary>
    public void Count(Attack attack, string? code)
    {
        Count(attack, code is null);
        if (code is not null)
        {
            _codes[code] = _codes.GetValueOrDefault(code) + 1;
        }
    }

    public void Count(Attack attack, bool carried) => (carried ? _carried : _refused)[(int)attack]++;

    public void Add(Tally other)
    {
        for (var kind = 0; kind < _refused.Length; kind++)
        {
            _refused[kind] += other._refused[kind];
            _carried[kind] += other._carried[kind];
        }

        foreach (var (code, count) in other._codes)
        {
            _codes[code] = _codes.GetValueOrDefault(code) + count;
        }
    }

    /// <summary>Orders that a kit refused with a code.</summary>
    public long RefusedBy(string code) => _codes.GetValueOrDefault(code);

    public long CarriedOf(Attack attack) => _carried[(int)attack];

    public long Refused => _refused.Sum();

    public long Carried => _carried.Sum();

    public long RefusedOf(Attack attack) => _refused[(int)attack];

    public string InWords() => string.Join("; ", Enum.GetValues<Attack>().Select(attack => $"{attack}: {_refused[(int)attack]} refused, {_carried[(int)attack]} rightly carried out")) + ". At kits: " + string.Join(", ", _codes.OrderBy(code => code.Key, StringComparer.Ordinal).Select(code => $"{code.Key} {code.Value}"));
}
