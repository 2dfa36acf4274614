using System.Globalization;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Items;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli.Demo;

/// <summary>Size of a fleet.</summary>
/// <param name="Kits">Kits.</param>
/// <param name="Loans">Their loans: over, under way and promised.</param>
internal sealed record FleetSize(int Kits, int Loans);

/// <summary>Invented kits beside those of the demonstration's sessions, each at another place of its way, with the loans behind it.</summary>
/// <remarks>Kits that have a history are left as they are, so that a second start doubles nothing and undoes nothing.</remarks>
internal sealed class InventedFleet(IServiceProvider services, ClinicPeople people, TimeProvider clock)
{
    /// <summary>Number of the first kit of the fleet; those before it belong to the sessions.</summary>
    private const int FirstNumber = 4;

    /// <summary>Kits of a fleet when nobody asks for more.</summary>
    public const int Usual = 12;

    /// <summary>Loans behind each of them.</summary>
    public const int UsualLoans = 2;

    /// <summary>The kit that somebody holds: one on the shelf.</summary>
    private const int HeldTurn = 6;

    /// <summary>Days ahead of the first promised loans.</summary>
    private const int FirstAhead = 20;

    /// <summary>Days a kit that should long be back is at its site more.</summary>
    private const int OverdueDays = 16;

    private static readonly string[] _places =
    [
        "Linden Court residence", "Birch Row 4", "Quarry Hill clinic", "Otter Bridge school", "Fernhill Lane 12", "Saltmarsh ferry post", "Heron Mill residence", "Upper Tarn surgery",
    ];

    // Each stage a coordinator has work at; the last one has been away too long.
    private static readonly KitStage[] _stages =
    [
        KitStage.Received, KitStage.CheckedInAtSite, KitStage.InTransitOut, KitStage.Cleaning, KitStage.Packed, KitStage.AtCalibration, KitStage.Available, KitStage.FunctionCheck,
        KitStage.InTransitBack, KitStage.Reserved, KitStage.AwaitingPickup, KitStage.Restock, KitStage.MissingParcel, KitStage.AwaitingReturn, KitStage.Delivered, KitStage.Repair,
    ];

    /// <summary>Enters kits up to a number, with so many loans behind each.</summary>
    /// <returns>What was entered.</returns>
    public async Task<FleetSize> Enter(int kits, int loans, CancellationToken cancellationToken)
    {
        var fleet = services.GetRequiredService<KitFleet>();
        var entered = new FleetSize(0, 0);
        var promised = new List<InventedLoan>();
        foreach (var (kitId, place) in InventedClinic.Away)
        {
            promised.AddRange(await AtSite(kitId, place, cancellationToken));
        }

        for (var number = FirstNumber; number <= kits; number++)
        {
            var kitId = new KitId(string.Create(CultureInfo.InvariantCulture, $"kit-{number:00}"));
            if (!await fleet.IsEntered(kitId, cancellationToken))
            {
                var history = History(kitId, number - FirstNumber, loans);
                await fleet.Enter(kitId, "loan kit, circumaural earphones", "Fernhill, kit room", cancellationToken);
                await Keep(history, cancellationToken);
                promised.AddRange(history.Loans);
                entered = new FleetSize(entered.Kits + 1, entered.Loans + history.State.Loans.Count + history.State.PastLoans.Count);
            }
        }

        await Ask(promised, cancellationToken);
        return entered;
    }

    /// <summary>A kit of today's sessions has come to where they are, with contents and a photo of its case.</summary>
    private async Task<IReadOnlyList<InventedLoan>> AtSite(KitId kitId, string place, CancellationToken cancellationToken)
    {
        if (await services.GetRequiredService<KitFacts>().Load(kitId, cancellationToken) is not { State.Version: 0 })
        {
            return [];
        }

        var photo = await services.GetRequiredService<PhotoStore>().Keep(kitId, InventedPhoto.Png(), cancellationToken);
        var now = clock.GetUtcNow();
        var booking = InventedHistory.BookingFor(DateOnly.FromDateTime(now.UtcDateTime));
        var left = new DateTimeOffset(booking.ShipBy, new TimeOnly(9, 0), TimeSpan.Zero);
        var history = new InventedHistory(kitId, new Actor(people.Coordinator, InventedClinic.Coordinator));
        history.Begin(left.AddDays(-InventedHistory.CycleDays));
        history.Lend(left, place, KitStage.CheckedInAtSite, booking, photo.Photo);
        await Keep(history, cancellationToken);
        return history.Loans;
    }

    /// <summary>The same loans in the fleet's log, as their coordinator would have asked for them: reminders, papers and extensions start from there.</summary>
    private async Task Ask(IReadOnlyList<InventedLoan> promised, CancellationToken cancellationToken)
    {
        var loaded = await services.GetRequiredService<FleetFacts>().Verify(cancellationToken);
        if (promised.Count == 0 || !loaded.Integrity.Valid)
        {
            return;
        }

        var by = new Actor(people.Coordinator, InventedClinic.Coordinator);
        var sessions = (await services.GetRequiredService<FleetFacts>().PlannedSessions(cancellationToken)).ToLookup(session => session.KitId);
        var facts = promised.OrderBy(loan => loan.At).SelectMany(loan => new (DateTimeOffset At, FleetFact Fact)[]
        {
            (loan.At, new LoanRequested(Request(loan, sessions[loan.KitId]), by)),
            (loan.At, new LoanPlaced(loan.LoanId, loan.KitId, loan.Booking.ShipBy, loan.Booking.DueBack, loan.Booking.BookableFrom, by)),
        }).ToList();
        var append = new FleetFactAppend(loaded, [.. facts.Select(fact => fact.Fact)]) { Times = [.. facts.Select(fact => fact.At)] };
        await services.GetRequiredService<SessionStore>().Append(new AppendBatch([], null, null, _ => { }) { FleetFacts = append }, cancellationToken);
    }

    // Sessions of a day belong to the loan that is booked for that day.
    private static RequestLoan Request(InventedLoan loan, IEnumerable<PlannedSession> sessions) => new(
        loan.LoanId,
        [.. sessions.Where(session => DateOnly.FromDateTime(session.PlannedStart.UtcDateTime) == loan.Booking.Session).Select(session => session.SessionId)],
        [loan.Booking.Session],
        loan.Place,
        FleetCalendar.Clinic,
        FleetTerms.Initial.Zone,
        [TransducerKind.Circumaural],
        LoanUrgency.Ordinary,
        null);

    /// <summary>The invented past of a kit: loans one after another, and at last it stands at the stage of its turn.</summary>
    internal InventedHistory History(KitId kitId, int turn, int loans)
    {
        // An hour ago, so that the newest entry is not of this very moment; but today, or what is booked from today on would have left yesterday.
        var (today, anHourAgo) = (new DateTimeOffset(clock.GetUtcNow().UtcDateTime.Date, TimeSpan.Zero), clock.GetUtcNow().AddHours(-1));
        var now = anHourAgo < today ? today : anHourAgo;
        var stage = _stages[turn % _stages.Length];
        var overdue = stage == KitStage.CheckedInAtSite && turn < _stages.Length ? OverdueDays : 0;
        var last = now.AddDays(-InventedHistory.DaysTo(stage) - overdue);
        var history = new InventedHistory(kitId, new Actor(people.Coordinator, InventedClinic.Coordinator));

        // In every sixth turn or so the kit goes to the laboratory instead.
        var turns = loans + (loans / 5) + 1;
        var at = last.AddDays(-InventedHistory.CycleDays * turns);
        history.Begin(at.AddDays(-1));
        for (var i = 0; i < turns; i++, at = at.AddDays(InventedHistory.CycleDays))
        {
            if (history.Covers(at) && (i + 1 < turns || history.Covers(last)))
            {
                history.Lend(at, Place(turn + i), KitStage.Available);
            }
            else
            {
                history.Calibrate(at);
            }
        }

        Stand(history, last, now, Place(turn), stage);
        Ahead(history, now, turn);
        return history;
    }

    private static void Stand(InventedHistory history, DateTimeOffset last, DateTimeOffset now, string place, KitStage stage)
    {
        switch (stage)
        {
            case KitStage.Available:
                break;
            case KitStage.AtCalibration:
                history.ToLaboratory(last);
                break;
            case KitStage.Repair:
                history.Ask(last, new SendToRepair("The headband is cracked at the left joint."));
                break;
            case KitStage.Reserved:
                if (history.TryLend(last, InventedHistory.Booking(DateOnly.FromDateTime(last.UtcDateTime).AddDays(1)), place) is { } refusal)
                {
                    throw new InvalidOperationException($"{history.State.KitId}: {refusal.Sentence}");
                }

                break;
            case KitStage.MissingParcel:
                history.Lend(last, place, KitStage.InTransitOut);
                history.Ask(now, new ReportParcelMissing("The carrier lost its trace after the second depot."));
                break;
            default:
                history.Lend(last, place, stage);
                break;
        }
    }

    // A loan ahead for every second kit, where nothing stands against it; and one kit that somebody holds.
    private static void Ahead(InventedHistory history, DateTimeOffset now, int turn)
    {
        if (turn % 2 == 0)
        {
            _ = history.TryLend(now, InventedHistory.Booking(DateOnly.FromDateTime(now.UtcDateTime).AddDays(FirstAhead + (turn % 9))), Place(turn + 3));
        }

        if (turn == HeldTurn)
        {
            history.Ask(now, new PlaceHold(KitHoldKind.BatterySuspect, "The unit grows warm while it charges. It lies apart in the metal box."));
        }
    }

    private static string Place(int turn) => _places[turn % _places.Length];

    private async Task Keep(InventedHistory history, CancellationToken cancellationToken)
    {
        if (await services.GetRequiredService<KitFacts>().Load(history.State.KitId, cancellationToken) is not { State.Version: 0 } loaded)
        {
            return;
        }

        var append = new KitFactAppend(loaded, [.. history.Facts.Select(recorded => recorded.Fact)]) { Times = [.. history.Facts.Select(recorded => recorded.At)] };
        await services.GetRequiredService<SessionStore>().Append(new AppendBatch([], null, null, _ => { }) { KitFacts = [append] }, cancellationToken);
    }
}
