using System.Text.Json.Serialization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;

namespace TeleHearing.Contracts;

/// <summary>Which gear made a result.</summary>
/// <param name="TransducerKind">Kind of transducer.</param>
/// <param name="TransducerSerial">Serial number of the transducer.</param>
/// <param name="UnitSerial">Serial number of the unit that drives it.</param>
/// <param name="CertificateId">Calibration certificate of this unit and transducer.</param>
public sealed record GearUsed(TransducerKind TransducerKind, string TransducerSerial, string UnitSerial, string CertificateId);

/// <summary>One threshold measurement with its evidence.</summary>
/// <param name="StepId">Step that made it.</param>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="Outcome">What it came to.</param>
/// <param name="Rule">Stopping rule used.</param>
/// <param name="Trials">Every presentation, voids and catch trials among them, in order.</param>
/// <param name="Gear">Gear used.</param>
/// <param name="RoomBoundDbHl">Lowest provable level at this frequency in dB HL; absent when the room was not measured.</param>
public sealed record ThresholdRecord(
    StepId StepId,
    Ear Ear,
    int FrequencyHz,
    ThresholdOutcome Outcome,
    StoppingRule Rule,
    IReadOnlyList<TrialRecord> Trials,
    GearUsed Gear,
    double? RoomBoundDbHl)
{
    /// <summary>How the tone reached the ear.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public ConductionRoute Route { get; init; }

    /// <summary>Method that made it.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public ThresholdMethod Method { get; init; }

    /// <summary>What the estimate believes, with its interval; absent for other methods, and where no threshold was established.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public ThresholdEstimate? Estimate { get; init; }

    /// <summary>How the other ear was masked; absent when it was not.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public MaskingEvidence? Masking { get; init; }
}
