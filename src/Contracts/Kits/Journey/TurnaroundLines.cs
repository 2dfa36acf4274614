using System.Globalization;

namespace TeleHearing.Contracts;

/// <summary>A line of a turnaround checklist.</summary>
/// <param name="Code">Stable code; lines about an item carry its id.</param>
/// <param name="Title">What is done, in a few words.</param>
/// <param name="Instruction">How, and what must be found.</param>
public sealed record TurnaroundLine(string Code, string Title, string Instruction)
{
    /// <summary>The item it is about; absent when it is about the whole case.</summary>
    public string? ItemId { get; init; }
}

/// <summary>The checklists between a return and the next loan, made from what belongs in the case.</summary>
/// <remarks>
/// Own wording. What is cleaned how: Bankaitis 2023 citing CDC. What touched skin is cleaned, then disinfected for the contact time on the product's label; what went into the canal is used once unless its maker says otherwise; what has
/// no instructions for cleaning is used once. Cleaning comes before disinfecting, since nothing is disinfected through dirt.
/// </remarks>
public static class TurnaroundLines
{
    /// <summary>Said above every checklist.</summary>
    public const string Caution = "Follow the maker's instructions and your local infection-control rules; where they ask for more than this list, they count.";

    /// <summary>The stages that are signed with a checklist.</summary>
    public static IReadOnlyList<KitStage> Steps { get; } = [KitStage.Cleaning, KitStage.Inspection, KitStage.Restock];

    /// <summary>The lines of a step; empty for a stage without a checklist.</summary>
    /// <param name="step">The stage the kit is at.</param>
    /// <param name="items">What belongs in the case; may be empty while nobody has said.</param>
    public static IReadOnlyList<TurnaroundLine> Of(KitStage step, IReadOnlyList<KitItem> items) => step switch
    {
        KitStage.Cleaning => Cleaning(items),
        KitStage.Inspection => Inspection(items),
        KitStage.Restock => Restock(items),
        _ => [],
    };

    private static IReadOnlyList<TurnaroundLine> Cleaning(IReadOnlyList<KitItem> items) =>
    [
        .. items.Where(item => item.Contact != ItemContact.None).SelectMany(Cleaning),
        .. items.Any(item => item.Contact != ItemContact.None) ? Array.Empty<TurnaroundLine>() :
        [
            new("clean-contact", "What touched a person", "Clean earphone cushions, headband, response button and whatever else touched skin, then disinfect it for the contact time on the product's label. Discard whatever went into an ear and is not marked by its maker as reusable."),
        ],
        new("clean-case", "The case", "Wipe the case and its lining. Nothing is left that is stained or damp."),
        new("clean-hands", "Hands and surface", "Gloves off, hands clean, surface wiped before anything clean is touched."),
    ];

    private static IEnumerable<TurnaroundLine> Cleaning(KitItem item)
    {
        if (item.SingleUse || !item.WipeSafe)
        {
            var why = item.SingleUse ? "used once" : "must not be wiped, so it is used once";
            yield return new TurnaroundLine("discard-" + item.ItemId, $"Discard: {item.Kind}", $"Discard every piece that was opened or used ({why}) and count what is discarded.") { ItemId = item.ItemId };
            yield break;
        }

        yield return new TurnaroundLine("clean-" + item.ItemId, $"Clean: {item.Kind}", "Remove all that can be seen and felt, as the maker says, before disinfecting.") { ItemId = item.ItemId };
        var time = item.ContactTimeSeconds is { } seconds
            ? string.Create(CultureInfo.InvariantCulture, $"Keep it wet for {seconds} s, and for as long as the product's label says if that is longer.")
            : "Keep it wet for the contact time on the product's label.";
        yield return item.Contact == ItemContact.Canal
            ? new TurnaroundLine("disinfect-" + item.ItemId, $"Disinfect to a high level: {item.Kind}", $"It goes into the ear canal and its maker says it is reusable: high-level disinfection as the maker says. {time} Discard or sterilise it if there was blood, pus, discharge or heavy wax.") { ItemId = item.ItemId }
            : new TurnaroundLine("disinfect-" + item.ItemId, $"Disinfect: {item.Kind}", $"Low or intermediate level, with a product the maker allows. {time}") { ItemId = item.ItemId };
    }

    private static IReadOnlyList<TurnaroundLine> Inspection(IReadOnlyList<KitItem> items) =>
    [
        new("inspect-count", "Everything is there", "Count the case against its list. Record how many of each there are."),
        new("inspect-whole", "Whole", "Look at every piece: no crack, no tear, no bent plug, no cable with its core showing, no liquid inside."),
        .. items.Any(item => item.Serial is not null || item.Pairing is not null)
            ? new[] { new TurnaroundLine("inspect-serials", "Serial numbers and pairs", "The serial numbers are those of the list, and what belongs together (unit, transducer, certificate) is together.") }
            : [],
        .. items.Any(item => item.Battery is not null)
            ? new[] { new TurnaroundLine("inspect-batteries", "Batteries", "No swelling, no smell, no heat, no leak. A battery in doubt is not charged and not sent: hold the kit.") }
            : [],
        new("inspect-left", "Nothing of a person", "No paper, name, hearing aid or other thing of a person is left in the case."),
    ];

    private static IReadOnlyList<TurnaroundLine> Restock(IReadOnlyList<KitItem> items) =>
    [
        new("restock-par", "Filled up", "Every line of the list is at its number or above. Record how many of each there are now."),
        .. items.Any(item => item.Expiry is not null)
            ? new[] { new TurnaroundLine("restock-expiry", "Last days of use", "Nothing is past its last day of use, or will be during the next loan.") }
            : [],
        new("restock-charged", "Charge", "The unit is charged as the parcel rules for its batteries allow; the site charges it on arrival."),
    ];
}
