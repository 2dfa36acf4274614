using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>A loan of a kit as its facts tell it.</summary>
internal sealed record KitLoan(LoanId LoanId, DateOnly From, DateOnly DueBack, DateOnly BookableFrom, string Place)
{
    /// <summary>When its paper was signed, and by whom.</summary>
    public (DateTimeOffset At, string SignedBy)? Paper { get; init; }

    /// <summary>The carrier's reference on its way out.</summary>
    public string? Tracking { get; init; }

    /// <summary>The carrier's reference on its way back.</summary>
    public string? ReturnTracking { get; init; }

    /// <summary>Local day it was handed to the carrier.</summary>
    public DateOnly? SentOn { get; init; }

    /// <summary>Local day it was handed to the carrier for its way back.</summary>
    public DateOnly? SentBackOn { get; init; }

    /// <summary>Seal of the parcel out.</summary>
    public string? Seal { get; init; }

    /// <summary>Seal of the parcel back.</summary>
    public string? ReturnSeal { get; init; }

    /// <summary>Whether the case was packed at the site and not opened since.</summary>
    public bool PackedUp { get; init; }

    /// <summary>What happened, oldest first.</summary>
    public IReadOnlyList<LoanStep> Steps { get; init; } = [];

    /// <summary>What the carrier said, oldest first.</summary>
    public IReadOnlyList<CarrierEntry> Carrier { get; init; } = [];

    /// <summary>Steps of the overdue ladder that were taken.</summary>
    public IReadOnlyList<ReminderEntry> Reminders { get; init; } = [];

    /// <summary>How it ended; absent while it goes on.</summary>
    public string? Ended { get; init; }

    /// <summary>Which way the parcel goes or went last.</summary>
    public KitLeg Leg => SentBackOn is null ? KitLeg.Out : KitLeg.Back;

    /// <summary>Whether days from <paramref name="from"/> until before <paramref name="bookableFrom"/> are needed by it too.</summary>
    public bool Overlaps(DateOnly from, DateOnly bookableFrom) => from < BookableFrom && From < bookableFrom;

    /// <summary>Steps of the ladder taken since it was last extended: with another day to be back the ladder begins anew.</summary>
    public IEnumerable<ReminderEntry> RemindersSinceExtended() =>
        Steps.LastOrDefault(step => step.Name == "extended") is { } extended ? Reminders.Where(taken => taken.At > extended.At) : Reminders;

    /// <summary>The loan with one more step.</summary>
    public KitLoan With(RecordedStep step) => this with { Steps = [.. Steps, new LoanStep(step.Sequence, step.At, step.Name, step.By.Name)] };
}

/// <summary>A step of a loan on its way into its list.</summary>
internal readonly record struct RecordedStep(long Sequence, DateTimeOffset At, string Name, Actor By);

/// <summary>An entry that a correction took back.</summary>
/// <param name="LoanId">Loan in whose log it stood.</param>
/// <param name="Step">The step it was; absent when it was none.</param>
/// <param name="Carrier">What the carrier was said to have said; absent when it was no word of a carrier.</param>
internal sealed record EntryTakenBack(LoanId LoanId, LoanStep? Step, CarrierEntry? Carrier);
