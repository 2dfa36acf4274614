using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Levels;

/// <summary>The kind of transducer, as the standards name it.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<TransducerKind>))]
public enum TransducerKind
{
    /// <summary>Supra-aural earphone (ISO 389-1).</summary>
    SupraAural,

    /// <summary>Insert earphone (ISO 389-2).</summary>
    Insert,

    /// <summary>Circumaural earphone (ISO 389-8; from 9 kHz on ISO 389-5).</summary>
    Circumaural,

    /// <summary>High-frequency insert earphone, 8 to 16 kHz (ISO 389-5). Another earphone than <see cref="Insert"/>: their tables are never joined.</summary>
    HighFrequencyInsert,

    /// <summary>Bone vibrator (ISO 389-3). Its levels are force levels, dB re 1 µN.</summary>
    BoneVibrator,
}
