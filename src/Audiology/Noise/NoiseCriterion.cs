using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Noise;

/// <summary>The published limits a room is held against.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<NoiseCriterion>))]
public enum NoiseCriterion
{
    /// <summary>ISO 8253-1:2010 (earphones, bone) and ISO 8253-2:2009 (sound field), third-octave bands. The primary one.</summary>
    Iso8253,

    /// <summary>ANSI/ASA S3.1-1999 (R2018), third-octave bands, printed for the audiometric frequencies only.</summary>
    AnsiThirdOctave,

    /// <summary>ANSI/ASA S3.1-1999 (R2018), octave bands.</summary>
    AnsiOctave,
}

/// <summary>How the person listens: what stands between the room and the ear.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ListeningCondition>))]
public enum ListeningCondition
{
    /// <summary>Under supra-aural earphones.</summary>
    SupraAural,

    /// <summary>With insert earphones, the foam fully in.</summary>
    Insert,

    /// <summary>Under circumaural earphones.</summary>
    Circumaural,

    /// <summary>Bone conduction, ears open.</summary>
    Bone,

    /// <summary>In the sound field with both ears, open.</summary>
    SoundField,
}
