using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;

namespace TeleHearing.Hub.Neighbours;

/// <summary>What a hub counts of itself.</summary>
/// <param name="Kits">Kits linked to it.</param>
/// <param name="Sounding">Of them, those on which sound may be on.</param>
/// <param name="Consoles">Consoles connected to it.</param>
internal sealed record HubCount(int Kits, int Sounding, int Consoles);

/// <summary>Counts what this hub holds now. Any thread.</summary>
internal sealed class HubFigures(KitLinks links, LivePeople live)
{
    /// <summary>The count.</summary>
    public HubCount Count() => new(links.Count, links.Sounding, live.All.Count);

    /// <summary>The count as it is kept in the store.</summary>
    public string Json() => JsonSerializer.Serialize(Count(), Protocol.Json);

    /// <summary>A count that was kept; nothing of one that cannot be read.</summary>
    public static HubCount? Read(string json)
    {
        try
        {
            return JsonSerializer.Deserialize<HubCount>(json, Protocol.Json);
        }
        catch (JsonException)
        {
            return null;
        }
    }
}
