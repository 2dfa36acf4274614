using System.Globalization;

namespace TeleHearing.Simulation;

/// <summary>What happened in a world, line by line, with names in place of ids, so that the same seed gives the same lines.</summary>
internal sealed class Trace(Func<TimeSpan> now)
{
    private readonly List<string> _lines = [];
    private readonly Dictionary<Guid, string> _names = [];
    private readonly Dictionary<string, int> _counts = new(StringComparer.Ordinal);

    public IReadOnlyList<string> Lines => _lines;

    /// <summary>Name of an id: its kind and its place among those of its kind.</summary>
    public string Name(string kind, Guid id)
    {
        if (!_names.TryGetValue(id, out var name))
        {
            _counts[kind] = _counts.GetValueOrDefault(kind) + 1;
            _names.Add(id, name = string.Create(CultureInfo.InvariantCulture, $"{kind} {_counts[kind]}"));
        }

        return name;
    }

    public void Add(string line) => _lines.Add(string.Create(CultureInfo.InvariantCulture, $"{now().TotalSeconds,10:0.0000} {line}"));

    /// <summary>Of all lines, to compare two runs by.</summary>
    public ulong Hash()
    {
        // FNV-1a; it only has to differ when the lines do.
        var hash = 14695981039346656037ul;
        foreach (var line in _lines)
        {
            foreach (var sign in line)
            {
                hash = (hash ^ sign) * 1099511628211ul;
            }

            hash = (hash ^ '\n') * 1099511628211ul;
        }

        return hash;
    }
}
