using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What a kit's key is worth.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<KitKeyStanding>))]
public enum KitKeyStanding
{
    /// <summary>It was never enrolled.</summary>
    None,

    /// <summary>It serves.</summary>
    Serves,

    /// <summary>It was retired after its loan; the next one needs a new key.</summary>
    Retired,

    /// <summary>It was taken away.</summary>
    TakenAway,
}

/// <summary>A kit's key as its page shows it.</summary>
/// <param name="Standing">What it is worth.</param>
/// <param name="Since">Since when that is so; absent when nobody noted it.</param>
/// <param name="Thumbprint">Its thumbprint (RFC 7638); absent while none serves.</param>
/// <param name="OutWith">The loan it went out with; absent while it has been on none.</param>
public sealed record KitKeyView(KitKeyStanding Standing, DateTimeOffset? Since, string? Thumbprint, LoanId? OutWith);

/// <summary>A one-time enrolment code, shown once.</summary>
/// <param name="Code">The code.</param>
/// <param name="Until">When it ends by itself.</param>
public sealed record EnrolmentCodeReply(string Code, DateTimeOffset Until);
