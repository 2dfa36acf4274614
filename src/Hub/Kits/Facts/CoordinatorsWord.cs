using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Which entries are a word of those who answer for the kits.</summary>
internal static class CoordinatorsWord
{
    /// <summary>Only those who answer for the kits say that such an entry did not occur, else a correction would do what the rights table refuses.</summary>
    /// <remarks>Releasing a kit is care of it, but taking that back calls one back that the coordinator counts on.</remarks>
    public static bool Is(KitFact fact) => fact is KitCommissioned or KitReleased or KitRetired or HoldLifted or KitReserved or LoanCalledOff or LoanExtended;
}
