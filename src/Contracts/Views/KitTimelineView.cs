using System.Text.Json;
using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What of the timeline a console shows: only that is read and sent.</summary>
/// <param name="From">First day.</param>
/// <param name="Days">Number of days, at most <see cref="MostDays"/>.</param>
/// <param name="Kits">Kits, in the order shown, at most <see cref="MostKits"/>.</param>
public sealed record KitTimelineQuery(DateOnly From, int Days, IReadOnlyList<KitId> Kits)
{
    /// <summary>A year and the weeks at its ends (design).</summary>
    public const int MostDays = 400;

    /// <summary>More lines than a screen shows (design).</summary>
    public const int MostKits = 60;
}

/// <summary>A window of the timeline.</summary>
/// <param name="From">First day.</param>
/// <param name="Days">Number of days.</param>
/// <param name="Today">The hub's day.</param>
/// <param name="Rows">A line for each kit asked for that there is.</param>
public sealed record KitTimelineView(DateOnly From, int Days, DateOnly Today, IReadOnlyList<KitTimelineRow> Rows)
{
    /// <summary>Why nothing is shown; absent when it is.</summary>
    public Refusal? Refusal { get; init; }
}

/// <summary>A kit in the timeline.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="Spans">What happens on which days, ordered by kind and day.</param>
/// <param name="Places">Places and reasons the spans refer to.</param>
public sealed record KitTimelineRow(KitId KitId, IReadOnlyList<KitSpan> Spans, IReadOnlyList<string> Places);

/// <summary>What a stretch of days in the timeline is.</summary>
public enum KitSpanKind
{
    /// <summary>Packed, waiting to leave.</summary>
    Packed,

    /// <summary>On its way out.</summary>
    Out,

    /// <summary>At a site.</summary>
    AtSite,

    /// <summary>On its way back.</summary>
    Back,

    /// <summary>Being cleaned, looked over, filled up, checked.</summary>
    Turnaround,

    /// <summary>At the laboratory.</summary>
    Calibration,

    /// <summary>In repair.</summary>
    Repair,

    /// <summary>Missing, lost or stolen.</summary>
    Gone,

    /// <summary>Planned to be away.</summary>
    Promised,

    /// <summary>Planned turnaround after a loan.</summary>
    PromisedTurnaround,

    /// <summary>Away after the day it was to be back.</summary>
    Overdue,

    /// <summary>Days on which something holds it.</summary>
    Held,

    /// <summary>A session with it.</summary>
    Session,

    /// <summary>Last day of its calibration.</summary>
    CalibrationEnds,
}

/// <summary>A stretch of days. On the wire it is a list of four numbers, for a year of a large fleet is thousands of them.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="FirstDay">First day, counted from the first day of the window.</param>
/// <param name="Days">Number of days, at least 1.</param>
/// <param name="Place">Index in <see cref="KitTimelineRow.Places"/>, or -1.</param>
[JsonConverter(typeof(KitSpanConverter))]
public readonly record struct KitSpan(KitSpanKind Kind, int FirstDay, int Days, int Place)
{
    /// <summary>Whether a day, counted from the first of the window, is in it.</summary>
    public bool Covers(int day) => day >= FirstDay && day < FirstDay + Days;

    private sealed class KitSpanConverter : JsonConverter<KitSpan>
    {
        public override KitSpan Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
        {
            if (reader.TokenType != JsonTokenType.StartArray)
            {
                throw new JsonException("A stretch of days is a list of four numbers.");
            }

            Span<int> numbers = stackalloc int[4];
            for (var i = 0; i < numbers.Length; i++)
            {
                numbers[i] = reader.Read() && reader.TokenType == JsonTokenType.Number && reader.TryGetInt32(out var number)
                    ? number
                    : throw new JsonException("A stretch of days is a list of four numbers.");
            }

            return reader.Read() && reader.TokenType == JsonTokenType.EndArray
                ? new KitSpan((KitSpanKind)numbers[0], numbers[1], numbers[2], numbers[3])
                : throw new JsonException("A stretch of days is a list of four numbers.");
        }

        public override void Write(Utf8JsonWriter writer, KitSpan value, JsonSerializerOptions options)
        {
            writer.WriteStartArray();
            writer.WriteNumberValue((int)value.Kind);
            writer.WriteNumberValue(value.FirstDay);
            writer.WriteNumberValue(value.Days);
            writer.WriteNumberValue(value.Place);
            writer.WriteEndArray();
        }
    }
}
