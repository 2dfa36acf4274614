using TeleHearing.Contracts;

namespace TeleHearing.Hub.Fleet.Papers;

/// <summary>Where kits come back to: the one place that printed papers and the kit screen take it from.</summary>
internal static class ReturnLabel
{
    /// <summary>Lines of the clinic's return address; none while the coordinator has entered none.</summary>
    public static IReadOnlyList<string> Lines(FleetTerms terms) =>
        terms.ReturnAddress.Split('\n', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries);
}
