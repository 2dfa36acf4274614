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
}
