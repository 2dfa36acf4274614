namespace TeleHearing.Logistics.Fleet;

/// <summary>Something an answer about a fleet takes for granted.</summary>
/// <param name="Key">Stable name of it.</param>
/// <param name="Sentence">What is taken for granted, and which way the answer errs when it does not hold.</param>
public sealed record FleetAssumption(string Key, string Sentence)
{
    /// <summary>All of them.</summary>
    public static IReadOnlyList<FleetAssumption> All { get; } =
    [
        new("independent", "Loans are asked for one by one and independently, at the same rate all year. When they come in bunches or by season more are refused."),
        new("leaves", "A loan that finds no kit goes elsewhere. When people wait instead, the columns on waiting hold."),
        new("mean", "Only the mean cycle matters for refused loans, not how even it is. The columns on waiting are for uneven (exponential) cycles; with even ones people wait less."),
        new("shared", "Every kit can serve every loan. Kits kept apart by kind or place refuse more."),
        new("availability", "Calibration and repair take kits away evenly over the year. When all are away at once more loans are refused."),
        new("now", "A loan needs its kit at once. Bookings made ahead can be packed closer, and need as many kits as overlap."),
    ];
}
