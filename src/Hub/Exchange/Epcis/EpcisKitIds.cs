using TeleHearing.Contracts;
using TeleHearing.Logistics.Labels;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Which kit an id or a printed label means. Made once for a document: each kit's id is a keyed hash, and a document may name thousands of things. Pure.</summary>
internal sealed class EpcisKitIds
{
    private readonly Dictionary<string, KitId> _byId = new(StringComparer.Ordinal);
    private readonly Dictionary<string, KitId> _byLabel = new(StringComparer.Ordinal);

    public EpcisKitIds(EpcisIds ids, IEnumerable<KitId> kits)
    {
        foreach (var kit in kits)
        {
            _byId.TryAdd(ids.Kit(kit), kit);
            if (LabelCode.Plain(kit.Value) is { } plain)
            {
                _byLabel.TryAdd(plain, kit);
            }
        }
    }

    /// <summary>The kit; absent when it is none of these.</summary>
    public KitId? Known(string id)
    {
        if (_byId.TryGetValue(id, out var own))
        {
            return own;
        }

        // A partner may send what it scanned: the code of our label, at the end of whatever form it gives its ids.
        var tail = Uri.UnescapeDataString(id[(id.LastIndexOfAny(['/', ':']) + 1)..]);
        return tail.Length <= LabelReader.LongestText && LabelReader.Read(tail) is LabelReading.Ours { Code: { Item: null } code } && _byLabel.TryGetValue(code.Kit, out var labelled)
            ? labelled
            : null;
    }
}
