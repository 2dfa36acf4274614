using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Screen.Case;

/// <summary>Every word about the case a helper reads: sentences of at most 15 words, one action each, no blame.</summary>
internal static class CaseWords
{
    public const string ChargeGoal = "Charge the kit first";

    public static IReadOnlyList<string> ChargeSteps { get; } =
    [
        "Parcels by air travel with batteries almost empty.",
        "Plug the charger into the kit and the wall.",
        "Charge it fully before the hearing test.",
    ];

    public const string ChargeCaution = "Is a part hot, swollen or wet? Leave it alone and call your clinic.";

    public const string CountGoal = "What should be in the case";

    public const string CountHint = "Look at each thing. Count what is there.";

    public const string PackGoal = "Put everything back";

    public const string PackHint = "One-use parts go in the bin. Count how many.";

    public const string PackedGoal = "The case is packed. Thank you.";

    public const string PhotoHint = "Show the open case only. No people and no papers.";

    /// <summary>What came of the count.</summary>
    public static string CountGoalOf(bool complete) => complete ? "Everything is there" : "Thank you for counting";

    /// <summary>What is less than it was, one line each.</summary>
    public static IReadOnlyList<string> Missing(IReadOnlyList<KitItem> items, IReadOnlyList<ItemCount> packed, IReadOnlyList<ItemCount> found) =>
    [
        .. items
            .Select(item => (item.Kind, Sent: Of(packed, item) ?? item.ExpectedCount, Here: Of(found, item)))
            .Where(line => line.Here < line.Sent)
            .Select(line => $"{line.Kind}: {line.Here} of {line.Sent}."),
    ];

    /// <summary>How many of an item are in a count.</summary>
    public static int? Of(IReadOnlyList<ItemCount> counts, KitItem item) => counts.FirstOrDefault(count => string.Equals(count.ItemId, item.ItemId, StringComparison.OrdinalIgnoreCase))?.Count;

    /// <summary>What to do with the packed case.</summary>
    public static IReadOnlyList<string> PackedSteps(DateOnly? dueBack) =>
    [
        "Close the case. Put the return label on it.",
        dueBack is { } day ? string.Create(System.Globalization.CultureInfo.InvariantCulture, $"It has to be back by {day:d MMMM}.") : "Ask your clinic when it has to be back.",
        "Give it to the carrier, and keep the slip.",
        "You can switch the kit off now.",
    ];
}
