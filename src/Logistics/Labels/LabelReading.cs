using System.Text.Json.Serialization;

namespace TeleHearing.Logistics.Labels;

/// <summary>What a scanned or typed text is. A closed set.</summary>
public abstract record LabelReading
{
    private LabelReading()
    {
    }

    /// <summary>A code of this tool, whole and right.</summary>
    /// <param name="Code">The code.</param>
    public sealed record Ours(LabelCode Code) : LabelReading;

    /// <summary>Something else: a maker's bar code, an address, another tool's label.</summary>
    /// <param name="Sentence">What to do.</param>
    public sealed record Foreign(string Sentence) : LabelReading;

    /// <summary>Meant as a code of this tool, with a mistake. It is never taken for the code it resembles.</summary>
    /// <param name="Kind">Which mistake.</param>
    /// <param name="Suggestion">The one code that would be right with the least change, to be compared with the label; absent when there is none or more than one.</param>
    /// <param name="Sentence">What is wrong and what to do.</param>
    public sealed record Mistyped(LabelMistake Kind, string? Suggestion, string Sentence) : LabelReading;
}

/// <summary>Mistakes in a code.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<LabelMistake>))]
public enum LabelMistake
{
    /// <summary>It has a character that is in no code.</summary>
    StrangeCharacter,

    /// <summary>Characters are missing.</summary>
    TooShort,

    /// <summary>It has characters too many.</summary>
    TooLong,

    /// <summary>It would be right with one character exchanged for one that looks like it: 0 and O, 1 and I.</summary>
    LookAlike,

    /// <summary>It would be right with two neighbours exchanged.</summary>
    NeighboursExchanged,

    /// <summary>The check character does not fit; which character is wrong cannot be known.</summary>
    CheckDoesNotFit,
}
