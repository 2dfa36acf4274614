using System.Text.Json.Serialization;

namespace TeleHearing.Logistics.Loans;

/// <summary>What a step of the overdue ladder asks for.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<LadderAction>))]
public enum LadderAction
{
    /// <summary>A written reminder.</summary>
    Reminder,

    /// <summary>A call.</summary>
    Call,

    /// <summary>A letter.</summary>
    Letter,

    /// <summary>The kit is taken for lost.</summary>
    GiveUp,
}

/// <summary>One step of the overdue ladder.</summary>
/// <param name="Code">Stable code of the step, unique in its ladder; it is what a record of it names.</param>
/// <param name="Action">What is done.</param>
/// <param name="DaysAfterDue">Days after the day the kit is due back on which it is owed, all days counted; below zero before it.</param>
/// <param name="WordingKey">Key of the wording; the text with its names is made where names are known.</param>
public sealed record LadderStep(string Code, LadderAction Action, int DaysAfterDue, string WordingKey);

/// <summary>That a step was taken.</summary>
/// <param name="Code">The step's code.</param>
/// <param name="DueBack">Day the kit was due back when it was taken: after an extension the ladder begins anew.</param>
public sealed record LadderDone(string Code, DateOnly DueBack);
