using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>A part of an audiogram that is measured in one go: one ear, one route, with or without a masker in the other ear.</summary>
/// <param name="Ear">Ear under test.</param>
/// <param name="Route">How the tone reaches it.</param>
/// <param name="Masked">Whether the other ear is masked.</param>
public sealed record PlanPart(Ear Ear, ConductionRoute Route, bool Masked)
{
    /// <summary>In words, e.g. "right ear by air, unmasked".</summary>
    public override string ToString()
    {
        var route = Route switch
        {
            ConductionRoute.Air => "by air",
            ConductionRoute.BoneMastoid => "by bone at the mastoid",
            _ => "by bone at the forehead",
        };
        return $"{(Ear == Ear.Right ? "right" : "left")} ear {route}, {(Masked ? "masked" : "unmasked")}";
    }
}

/// <summary>Why a frequency is measured.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<MeasurePurpose>))]
public enum MeasurePurpose
{
    /// <summary>It belongs to the protocol.</summary>
    Planned,

    /// <summary>The estimate before the measurement.</summary>
    QuickLook,

    /// <summary>No threshold was established before; the task is to be explained again first.</summary>
    AfterInstruction,

    /// <summary>1000 Hz once more, to see whether it agrees.</summary>
    Retest,

    /// <summary>Another frequency once more, because 1000 Hz did not agree.</summary>
    FurtherRetest,

    /// <summary>The octaves around it differ.</summary>
    InterOctave,

    /// <summary>125 Hz, because of a loss at low frequencies.</summary>
    LowExtension,

    /// <summary>An extended high frequency.</summary>
    ExtendedHigh,

    /// <summary>The unmasked threshold may be the other ear's.</summary>
    Masked,

    /// <summary>It was measured on the other ear alone, and whether that must be masked depends on this one.</summary>
    ForComparison,

    /// <summary>The operator added it.</summary>
    Added,

    /// <summary>The operator wants it measured again.</summary>
    Repeated,
}
