using System.Text.Json.Serialization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Contracts;

/// <summary>What a kit says of its gear with every hello. The hub keeps it as a fact whenever it changes.</summary>
/// <param name="UnitSerial">Serial number of the unit that drives the transducer.</param>
/// <param name="TransducerSerial">Serial number of the transducer.</param>
/// <param name="TransducerKind">Kind of transducer.</param>
/// <param name="Use">How its owner uses it; decides how long a calibration holds.</param>
/// <param name="Calibration">Calibration record in use; absent when there is no readable one, and then the kit makes no sound.</param>
public sealed record KitGear(string UnitSerial, string TransducerSerial, TransducerKind TransducerKind, GearUse Use, CalibrationRecord? Calibration)
{
    /// <summary>Bone vibrator; absent when the kit has none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public BoneVibratorGear? BoneVibrator { get; init; }
}

/// <summary>A kit's bone vibrator.</summary>
/// <param name="Serial">Serial number.</param>
/// <param name="Calibration">Calibration record in use; absent when there is no readable one, and then nothing is played by bone.</param>
public sealed record BoneVibratorGear(string Serial, CalibrationRecord? Calibration);
