using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Refusals about kits that several places give.</summary>
internal static class KitRefusals
{
    public static Refusal Unknown { get; } = new(RefusalCodes.KitUnknown, "There is no such kit.", "Go back to the list of kits.");

    public static Refusal Damaged(long? sequence) => new(
        RefusalCodes.KitDamaged,
        string.Create(CultureInfo.InvariantCulture, $"What is recorded about this kit was changed from outside at entry {sequence}. It can be read only."),
        "Keep the data folder as it is and tell the owner. Do not send the kit out.");

    /// <summary>A kit was reported gone whose facts were changed from outside: what was done, and what was not.</summary>
    public static Refusal GoneWithoutFact(long? sequence, bool incident) => new(
        RefusalCodes.KitDamaged,
        string.Create(CultureInfo.InvariantCulture, $"Its key is taken away, its link is closed, and {(incident ? "the incident is on record" : "no incident was opened, for the fleet's log was changed from outside too")}. The kit's own page cannot say so: what is recorded about it was changed from outside at entry {sequence}."),
        "Keep the data folder as it is and tell the owner.");
}
