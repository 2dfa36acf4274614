using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Hub.Cli.Demo;

/// <summary>A loan of an invented past.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="LoanId">Loan.</param>
/// <param name="Place">Where it goes.</param>
/// <param name="Booking">Its dates.</param>
/// <param name="At">When it was promised.</param>
internal sealed record InventedLoan(KitId KitId, LoanId LoanId, string Place, KitBooking Booking, DateTimeOffset At);

/// <summary>Makes an invented past of one kit, command by command, as its coordinator would have recorded it: what the hub would have refused cannot be in it.</summary>
internal sealed class InventedHistory
{
    /// <summary>Days of a loan's steps, counted from its first day (example input): five days at the site, three days with the carrier each way.</summary>
    private const int DeliveredDay = 3;
    private const int PackedUpDay = 8;
    private const int MissingDay = 9;
    private const int ReceivedDay = 11;
    private const int CheckedDay = 12;

    /// <summary>Days in which a loan booked by the usual terms is back for certain, weekends counted.</summary>
    private const int DueBackDay = 20;

    /// <summary>Days from one loan to the next.</summary>
    public const int CycleDays = 15;

    /// <summary>Days a laboratory keeps a kit.</summary>
    private const int LaboratoryDays = 4;

    private static readonly KitItem[] _contents =
    [
        new("unit", "audiometer unit", 1, 1) { Serial = "set below", Pairing = "A", MassKg = 0.9, VolumeL = 2.4, Battery = new ItemBattery(18, 2, 1, InEquipment: true) },
        new("phones", "circumaural earphones", 1, 1) { Serial = "set below", Contact = ItemContact.Skin, ContactTimeSeconds = 60, NeedsCertificate = true, Pairing = "A", MassKg = 0.35, VolumeL = 2.8 },
        new("button", "response button", 1, 1) { Contact = ItemContact.Skin, ContactTimeSeconds = 60, MassKg = 0.08, VolumeL = 0.2 },
        new("tips", "ear light tips", 20, 10) { SingleUse = true, Contact = ItemContact.Canal, Lot = "INV-26", MassKg = 0.002, VolumeL = 0.01 },
        new("wipes", "alcohol-free wipes", 6, 3) { SingleUse = true, WipeSafe = false, Lot = "INV-27", MassKg = 0.004, VolumeL = 0.02 },
        new("sheet", "plain instructions", 1, 1) { WipeSafe = false },
    ];

    // Working days as they are until somebody enters holidays.
    private static readonly CalendarPair _calendars = CalendarPair.Of(WorkCalendar.From(CalendarRules.MondayToFriday(FleetCalendar.Clinic)), WorkCalendar.From(CalendarRules.MondayToFriday(FleetCalendar.Clinic)));
    private static readonly BookingDays _days = LoanBooking.Days(FleetTerms.Initial, null);

    private readonly List<InventedLoan> _loans = [];
    private readonly List<(DateTimeOffset At, KitFact Fact)> _facts = [];
    private readonly Actor _by;
    private readonly string _number;
    private int _certificates;

    /// <param name="kitId">Kit.</param>
    /// <param name="by">The invented coordinator.</param>
    public InventedHistory(KitId kitId, Actor by)
    {
        State = KitState.Empty(kitId);
        _by = by;
        _number = kitId.Value.Split('-')[^1];
    }

    /// <summary>What it comes to.</summary>
    public KitState State { get; private set; }

    /// <summary>Loans it was promised to, oldest first.</summary>
    public IReadOnlyList<InventedLoan> Loans => _loans;

    /// <summary>What was recorded, and when.</summary>
    public IReadOnlyList<(DateTimeOffset At, KitFact Fact)> Facts => _facts;

    /// <summary>Days from a loan's first day to the day on which a kit comes to a stage.</summary>
    public static int DaysTo(KitStage stage) => stage switch
    {
        KitStage.Delivered or KitStage.CheckedInAtSite => DeliveredDay,
        KitStage.AwaitingReturn or KitStage.InTransitBack => PackedUpDay,
        KitStage.Received or KitStage.Quarantine or KitStage.Cleaning => ReceivedDay,
        KitStage.MissingParcel => MissingDay,
        KitStage.Inspection or KitStage.Restock or KitStage.FunctionCheck or KitStage.Available => CheckedDay,
        _ => 0,
    };

    /// <summary>The kit is bought: its contents are listed, it is calibrated and checked.</summary>
    public void Begin(DateTimeOffset at)
    {
        Certify(at);
        Ask(at, new SetContents([.. _contents.Select(item => item.Serial is null ? item : item with { Serial = Serial(item.ItemId) })]));
        Ask(at, Function());
    }

    /// <summary>A loan up to a stage; an available kit has come all the way back to the shelf.</summary>
    public void Lend(DateTimeOffset from, string place, KitStage upTo) => Lend(from, place, upTo, Booking(Day(from)), null);

    /// <summary>A loan with given dates up to a stage, packed with a photo of the case.</summary>
    public void Lend(DateTimeOffset from, string place, KitStage upTo, KitBooking booking, string? photo)
    {
        var first = Day(from);
        if (TryLend(from, booking, place) is { } refusal)
        {
            throw Impossible(nameof(ReserveKit), refusal);
        }

        foreach (var (day, command) in Steps(_loans[^1].LoanId, first, photo))
        {
            Ask(from.AddDays(day), command);
            if (State.Stage == upTo)
            {
                break;
            }
        }
    }

    /// <summary>Whether the calibration holds to the end of a loan that begins then.</summary>
    public bool Covers(DateTimeOffset from) => KitJudgement.HoldsUntil(State) >= Day(from).AddDays(DueBackDay);

    /// <summary>Dates of a loan that leaves on a day or the next working day after it, by the usual terms.</summary>
    public static KitBooking Booking(DateOnly first) => BookingPlanner.Earliest(first, _days, _calendars);

    /// <summary>Dates of a loan for a session on a day, by the usual terms.</summary>
    public static KitBooking BookingFor(DateOnly session) => BookingPlanner.Backwards(session, session, _days, _calendars);

    /// <summary>Promises the kit to a loan if the hub would.</summary>
    /// <returns>Why not; absent when it is promised.</returns>
    public Refusal? TryLend(DateTimeOffset at, KitBooking booking, string place)
    {
        var loan = LoanId.New();
        if (TryAsk(at, new ReserveKit(loan, booking.ShipBy, booking.DueBack, booking.BookableFrom, place)) is { } refusal)
        {
            return refusal;
        }

        _loans.Add(new InventedLoan(State.KitId, loan, place, booking, at));
        return null;
    }

    /// <summary>To the laboratory and back, with a new certificate.</summary>
    public void Calibrate(DateTimeOffset at)
    {
        ToLaboratory(at);
        var back = at.AddDays(LaboratoryDays);
        Ask(back, new TakeFromLaboratory(null));
        Certify(back);
        Sign(back, KitStage.Inspection);
        Sign(back, KitStage.Restock);
        Ask(back, Function());
        Ask(back, new ReleaseKit());
    }

    /// <summary>To the laboratory.</summary>
    public void ToLaboratory(DateTimeOffset at) => Ask(at, new SendToLaboratory("Alder Lane Acoustics (invented)", Day(at).AddDays(LaboratoryDays + 2)));

    /// <summary>Records something at a time.</summary>
    /// <exception cref="InvalidOperationException">The hub would have refused it.</exception>
    public void Ask(DateTimeOffset at, KitCommand command)
    {
        if (TryAsk(at, command) is { } refusal)
        {
            throw Impossible(command.GetType().Name, refusal);
        }
    }

    /// <summary>Records something at a time if the hub would.</summary>
    /// <returns>Why not; absent when it is recorded.</returns>
    public Refusal? TryAsk(DateTimeOffset at, KitCommand command)
    {
        var decision = KitDecider.Decide(State, command, _by, Context(at));
        Happen(at, decision.Facts);
        return decision.Refusal;
    }

    private InvalidOperationException Impossible(string command, Refusal refusal) => new($"{State.KitId}, {command} at {State.Stage}: {refusal.Sentence}");

    private IEnumerable<(double Day, KitCommand Command)> Steps(LoanId loan, DateOnly first, string? photo)
    {
        yield return (0, new SignLoanPaper(loan, "the site's manager"));
        yield return (0, new PackKit(loan, Counts(), photo, "S-" + _number));
        yield return (0, new StageKit(loan));
        yield return (0, new SendKit(loan, string.Create(CultureInfo.InvariantCulture, $"INV{_number}{first:yyMMdd}"), first, EntryMeans.Scanned));
        yield return (DeliveredDay, new RecordCarrier(loan, CarrierStatus.Delivered, CarrierReason.None, null, Noon(first, DeliveredDay - 1), EntryMeans.Typed, null));
        yield return (DeliveredDay, new CheckInKit(loan, Counts(), null, EntryMeans.Scanned));
        yield return (PackedUpDay, new PackUpKit(loan, Counts(used: 4), null, null));
        yield return (PackedUpDay, new SendKit(loan, null, first.AddDays(PackedUpDay), EntryMeans.Typed));
        yield return (ReceivedDay, new ReceiveKit(null, Counts(used: 4), null, EntryMeans.Scanned));
        yield return (ReceivedDay, new BeginCleaning(null));
        yield return (ReceivedDay + 0.02, Signed(KitStage.Cleaning));
        yield return (CheckedDay, Signed(KitStage.Inspection));
        yield return (CheckedDay, Signed(KitStage.Restock));
        yield return (CheckedDay, Function());
        yield return (CheckedDay, new ReleaseKit());
    }

    private void Sign(DateTimeOffset at, KitStage step) => Ask(at, Signed(step));

    private static SignTurnaround Signed(KitStage step) => new(
        step,
        [.. TurnaroundLines.Of(step, _contents).Select(line => new FunctionAnswer(line.Code, true))],
        step == KitStage.Cleaning ? [] : Counts(used: step == KitStage.Inspection ? 4 : 0),
        null,
        null);

    private static IReadOnlyList<ItemCount> Counts(int used = 0) => [.. _contents.Select(item => new ItemCount(item.ItemId, item.SingleUse ? item.ExpectedCount - used : item.ExpectedCount))];

    private static RecordFunctionCheck Function() => new([.. FunctionLines.All.Select(line => new FunctionAnswer(line.Code, true))], null);

    // Tells the kit's gear as the kit itself would with its next hello.
    private void Certify(DateTimeOffset at)
    {
        _certificates++;
        var record = new CalibrationRecord(
            string.Create(CultureInfo.InvariantCulture, $"INV-{_number}-{_certificates}"),
            Serial("unit"),
            Serial("phones"),
            TransducerKind.Circumaural,
            Coupler.Iec60318Part1WithFlatPlate,
            Day(at),
            Day(at).AddMonths(12),
            "Alder Lane Acoustics (invented)",
            [.. AudiometricFrequency.All.Where(frequency => frequency.Hertz <= 8000).SelectMany(frequency => new[] { Ear.Left, Ear.Right }.Select(ear => new CalibrationEntry(ear, frequency.Hertz, 130, 60)))]);
        Happen(at, KitDecider.Reported(State, new KitGear(Serial("unit"), Serial("phones"), TransducerKind.Circumaural, GearUse.Moved, record), Context(at)));
    }

    private string Serial(string item) => item == "unit" ? "FH-UNIT-" + _number : "FH-CIRC-" + _number;

    private KitContext Context(DateTimeOffset at) => new(at, Day(at), [State], []);

    private void Happen(DateTimeOffset at, IReadOnlyList<KitFact> facts)
    {
        foreach (var fact in facts)
        {
            _facts.Add((at, fact));
            State = KitFold.Apply(State, new RecordedFact(State.Version + 1, at, fact));
        }
    }

    private static DateTimeOffset Noon(DateOnly first, int day) => new(first.AddDays(day), new TimeOnly(12, 0), TimeSpan.Zero);

    private static DateOnly Day(DateTimeOffset at) => DateOnly.FromDateTime(at.UtcDateTime);
}
