using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Levels;

/// <summary>The coupler or ear simulator a calibration was made on. A reference threshold belongs to a transducer and coupler together; they are never mixed.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<Coupler>))]
public enum Coupler
{
    /// <summary>IEC 60318-1 ear simulator (supra-aural earphones).</summary>
    Iec60318Part1,

    /// <summary>IEC 60318-1 ear simulator with the flat-plate adapter (circumaural earphones).</summary>
    Iec60318Part1WithFlatPlate,

    /// <summary>IEC 60318-3 acoustic coupler (supra-aural earphones).</summary>
    Iec60318Part3,

    /// <summary>IEC 60318-4 occluded-ear simulator (insert earphones).</summary>
    Iec60318Part4,

    /// <summary>IEC 60318-5 two cubic centimetre coupler, HA-2 (insert earphones).</summary>
    Iec60318Part5,

    /// <summary>IEC 60318-6 mechanical coupler (bone vibrators); its levels are force levels, dB re 1 µN.</summary>
    Iec60318Part6,
}
