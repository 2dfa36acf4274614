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

    /// <summary>Circumaural earphone (ISO 389-8).</summary>
    Circumaural,
}
