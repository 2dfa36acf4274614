using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Contracts;

/// <summary>What a kit says of its gear with every hello. The hub keeps it as a fact whenever it changes.</summary>
/// <param name="UnitSerial">Serial number of the unit that drives the transducer.</param>
/// <param name="TransducerSerial">Serial number of the transducer.</param>
/// <param name="TransducerKind">Kind of transducer.</param>
/// <param name="Use">How its owner uses it; decides how long a calibration holds.</param>
/// <param name="Calibration">Calibration record in use; absent when there is no readable one, and then the kit makes no sound.</param>
public sealed record KitGear(string UnitSerial, string TransducerSerial, TransducerKind TransducerKind, GearUse Use, CalibrationRecord? Calibration);
