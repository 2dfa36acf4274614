using System.Text.Json.Serialization;
using TeleHearing.Audiology.Calibration;

namespace TeleHearing.Contracts;

/// <summary>The kit board: every kit in one line. After a change only the lines of the kits that changed are told again.</summary>
/// <param name="HubTime">Hub time when it was made.</param>
/// <param name="Today">The hub's day, against which days are counted.</param>
/// <param name="Rows">The lines.</param>
public sealed record KitBoardView(DateTimeOffset HubTime, DateOnly Today, IReadOnlyList<KitBoardRow> Rows)
{
    /// <summary>Why nothing is shown; absent when it is.</summary>
    public Refusal? Refusal { get; init; }
}

/// <summary>A kit in the kit board.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="Label">What is in it.</param>
/// <param name="Where">Where it was last recorded to be.</param>
/// <param name="Online">Whether its agent is connected.</param>
/// <param name="Stage">Where it stands on its way.</param>
public sealed record KitBoardRow(KitId KitId, string Label, string Where, bool Online, KitStage Stage)
{
    /// <summary>Day since which it stands there; absent for a kit without any fact.</summary>
    public DateOnly? Since { get; init; }

    /// <summary>What holds it; absent when nothing does.</summary>
    public IReadOnlyList<KitHold>? Holds { get; init; }

    /// <summary>The loan under way, or else the next one promised.</summary>
    public KitBoardLoan? Loan { get; init; }

    /// <summary>Last day on which its calibration holds; absent while it has told none.</summary>
    public DateOnly? CalibratedUntil { get; init; }

    /// <summary>Where its calibration stands.</summary>
    public CalibrationStanding? Calibration { get; init; }

    /// <summary>What is to be done with it, what happens next first; absent when there is nothing.</summary>
    public IReadOnlyList<KitTask>? Tasks { get; init; }
}

/// <summary>A kit's loan in the board.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="Place">Where it goes.</param>
/// <param name="From">Day it leaves.</param>
/// <param name="DueBack">Day it is to be back.</param>
public sealed record KitBoardLoan(LoanId LoanId, string Place, DateOnly From, DateOnly DueBack);

/// <summary>The kinds of work with kits, in the order of today's list.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<KitTaskKind>))]
public enum KitTaskKind
{
    /// <summary>Search for it, remind the site, ask the carrier.</summary>
    Chase,

    /// <summary>Pack it, label it, hand it over.</summary>
    Ship,

    /// <summary>Take it in.</summary>
    Receive,

    /// <summary>Clean, inspect, fill up.</summary>
    Clean,

    /// <summary>Check it and release it.</summary>
    Check,

    /// <summary>Send it to the laboratory, or have it back from there.</summary>
    Calibrate,

    /// <summary>Have it repaired.</summary>
    Repair,

    /// <summary>Something holds it, a paper or a look-back waits.</summary>
    Settle,

    /// <summary>Nothing for the coordinator: others are at work, or nothing is due.</summary>
    Wait,
}

/// <summary>Something to do with a kit.</summary>
/// <param name="Kind">What kind of work.</param>
/// <param name="What">What to do, or what happens next, in a few words.</param>
/// <param name="Why">Why, as a sentence.</param>
public sealed record KitTask(KitTaskKind Kind, string What, string Why)
{
    /// <summary>Day by which; absent when no day is set.</summary>
    public DateOnly? By { get; init; }

    /// <summary>Name of the command that does it, as in <see cref="KitView.Moves"/>; absent when no single one does.</summary>
    public string? Move { get; init; }
}
