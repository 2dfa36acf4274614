using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone.Protocols;

/// <summary>Which ear comes first.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<EarOrder>))]
public enum EarOrder
{
    /// <summary>The better ear; the right one when neither is known to be better (ASHA 2005, from memory).</summary>
    BetterFirst,

    /// <summary>The right ear.</summary>
    RightFirst,

    /// <summary>The left ear.</summary>
    LeftFirst,
}

/// <summary>Where 1000 Hz is measured a second time, at the end of the ear.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<RetestScope>))]
public enum RetestScope
{
    /// <summary>Nowhere.</summary>
    None,

    /// <summary>At the ear tested first (ISO 8253-1:2010, 6.2.3, step 3).</summary>
    FirstEar,

    /// <summary>At both ears, so that the agreement of each is known. A choice of this tool beyond the standard.</summary>
    BothEars,
}

/// <summary>Where the bone vibrator sits.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<BonePlacement>))]
public enum BonePlacement
{
    /// <summary>Bone conduction is not tested.</summary>
    None,

    /// <summary>On the mastoid behind the ear under test.</summary>
    Mastoid,

    /// <summary>On the forehead.</summary>
    Forehead,
}
