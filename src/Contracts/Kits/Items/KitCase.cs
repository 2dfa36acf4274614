namespace TeleHearing.Contracts;

/// <summary>What a kit may know of its own case and loan: what the kit screen shows when the case is opened and when it is packed. Never anything about a person.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="Stage">Where it stands.</param>
/// <param name="Items">What belongs in the case.</param>
/// <param name="Packed">How it was packed for this loan; absent when it was not.</param>
/// <param name="CountedHere">How it was found when it was opened at the site; absent while nobody counted.</param>
/// <param name="DueBack">Day it is to be back; absent without a loan.</param>
/// <param name="ReturnTo">Lines of the clinic's return address, as on the printed label; empty without a loan and while the clinic has entered none.</param>
/// <param name="ChargeFirst">Whether it arrives with batteries that travel charged to 30 % at most, so that they are to be charged before a session. Never once a session has run with it on this loan.</param>
public sealed record KitCase(
    KitId KitId,
    KitStage Stage,
    IReadOnlyList<KitItem> Items,
    KitCount? Packed,
    KitCount? CountedHere,
    DateOnly? DueBack,
    IReadOnlyList<string> ReturnTo,
    bool ChargeFirst)
{
    /// <summary>Where a kit reads this over HTTP, with the same assertion as its link.</summary>
    public const string Path = "/api/kit/case";

    /// <summary>Where a kit posts a photo of its case, and reads one with the photo's id behind a slash.</summary>
    public const string PhotoPath = "/api/kit/photos";
}

/// <summary>Answer to a photo that was handed in: its id, or why it was not kept.</summary>
/// <param name="Photo">Id: the SHA-256 of the file as it is kept, in hexadecimal.</param>
/// <param name="Refusal">Why it was not kept.</param>
public sealed record PhotoReply(string? Photo, Refusal? Refusal);
