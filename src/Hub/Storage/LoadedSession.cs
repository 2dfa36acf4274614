using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Storage;

/// <summary>What is planned about a session.</summary>
internal sealed record SessionPlanFacts(PersonTested Person, string Place, DateTimeOffset PlannedStart, KitId KitId, string ClinicianId);

/// <summary>A session as read.</summary>
/// <param name="State">Fold of its events.</param>
/// <param name="Plan">What is planned about it.</param>
/// <param name="Integrity">Whether the log is whole.</param>
/// <param name="HeadHash">Hash of the last event.</param>
internal sealed record LoadedSession(SessionState State, SessionPlanFacts Plan, IntegrityView Integrity, byte[] HeadHash)
{
    /// <inheritdoc cref="SessionMark.Seen"/>
    public long Seen { get; init; }

    /// <summary>What lists show of it, as the row of the session stores it; null when that is not known to belong to these events. Who is in control is not sealed anew while it is the same person.</summary>
    public ListedSession? Listed { get; init; }

    /// <summary>By what it is known again.</summary>
    public SessionMark Mark => new(Seen, State.Version, HeadHash);
}

/// <summary>A kit as read.</summary>
/// <param name="State">Fold of its facts.</param>
/// <param name="Row">What is entered about it.</param>
/// <param name="Integrity">Whether its facts are whole.</param>
/// <param name="HeadHash">Hash of the last fact.</param>
internal sealed record LoadedKit(KitState State, KitEntity Row, IntegrityView Integrity, byte[] HeadHash)
{
    /// <summary>Loan its key went out with.</summary>
    public LoanId? KeyLoan => Row.KeyLoanId is { } loan ? new LoanId(loan) : null;
}

/// <summary>The fleet as read.</summary>
/// <param name="State">Fold of its facts.</param>
/// <param name="Integrity">Whether its facts are whole.</param>
/// <param name="HeadHash">Hash of the last fact.</param>
internal sealed record LoadedFleet(FleetState State, IntegrityView Integrity, byte[] HeadHash);
