using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What keeps a kit on the shelf. Any one of them forbids promising and sending it.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<KitHoldKind>))]
public enum KitHoldKind
{
    /// <summary>The calibration is over, or there is none.</summary>
    CalibrationExpired,

    /// <summary>The calibration would end before the loan does.</summary>
    CalibrationWouldExpireOnLoan,

    /// <summary>A known-ear or function check failed and was not made good.</summary>
    CheckFailed,

    /// <summary>It was used and nobody has signed that it is clean.</summary>
    CleaningUnsigned,

    /// <summary>Something that belongs in the case was not there at the last count.</summary>
    ItemMissing,

    /// <summary>It came back without the proof that nothing about a person is left on it.</summary>
    DataNotWiped,

    /// <summary>A maker or an authority warned about something in it.</summary>
    SafetyNotice,

    /// <summary>Its program is one the clinic has not approved.</summary>
    FirmwareNotApproved,

    /// <summary>The paper of this loan is not signed.</summary>
    LoanPaperMissing,

    /// <summary>A battery looks, smells or charges as it should not.</summary>
    BatterySuspect,

    /// <summary>Sessions since the last good check wait to be looked at again.</summary>
    LookBackOpen,

    /// <summary>Its facts do not fit their hashes, or a serial number is in two kits.</summary>
    RecordDoubtful,
}

/// <summary>A hold on a kit.</summary>
/// <param name="Kind">What kind.</param>
/// <param name="Sentence">Why, in the coordinator's words.</param>
/// <param name="PlacedByHand">Whether a person placed it, and a person must lift it.</param>
/// <param name="ForbidsTesting">Whether it forbids starting a test too, whoever is tested. Cleaning that is not signed forbids the test of another person only, and says false here.</param>
public sealed record KitHold(KitHoldKind Kind, string Sentence, bool PlacedByHand, bool ForbidsTesting);
