using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>Draws a command for a kit: mostly one that somebody might give at its stage, now and then any.</summary>
internal sealed class RandomCommand(Random random, KitState state, IReadOnlyList<KitState> all, DateOnly today, DateTimeOffset now)
{
    public KitCommand Next()
    {
        if (random.Next(6) == 0)
        {
            return Any();
        }

        // A slip is mostly seen at once.
        if (random.Next(25) == 0)
        {
            return new CorrectEntry(Math.Max(1, state.Version), true, "a slip");
        }

        return state.Stage switch
        {
            KitStage.Draft => Either(new CommissionKit(), new SetContents(ClinicPlay.Items)),
            KitStage.Commissioned => Either(Check(), new ReleaseKit(), new ReleaseKit()),
            KitStage.Available => Either(Reserve(), Reserve(), Reserve(), Sign(), new BeginCleaning(null), new SendToLaboratory("a laboratory", today.AddDays(random.Next(-1, 14)))),
            // Without a signature nothing is packed, and a walk that packs nothing says little.
            KitStage.Reserved when state.Loans[0].Paper is null && random.Next(3) > 0 => new SignLoanPaper(state.Loans[0].LoanId, "the borrower"),
            KitStage.Reserved => Either(Pack(), Pack(), Pack(), new CallOffLoan(Loan(), "not needed"), new SignLoanPaper(Loan(), "the borrower"), Reserve(), new BeginCleaning(null)),
            KitStage.Packed => Either(random.Next(3) == 0 ? new WithdrawLoanConsent(Loan(), ConsentParty.Themself, ConsentMeans.Spoken, "not now") : new SignLoanPaper(Loan(), "the borrower"), Send(), Send(), new StageKit(Loan())),
            KitStage.AwaitingPickup => Either(new SignLoanPaper(Loan(), "the borrower"), Send(), Send()),
            KitStage.InTransitOut => Either(Carrier(), Carrier(), new CheckInKit(Loan(), Counts(), null, EntryMeans.Scanned)),
            KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.InUse => Either(new CheckInKit(Loan(), [], null, EntryMeans.Typed), Sign(), PackUp(), PackUp(), Extend(), new TakeReminderStep(Loan(), $"step-{random.Next(4)}", null)),
            KitStage.AwaitingReturn => Either(Send(), Send(), Receive()),
            KitStage.InTransitBack => Either(Carrier(), Receive(), Receive()),
            KitStage.Received => Either(new QuarantineKit(now.AddHours(random.Next(-2, 40)), "asked for"), new BeginCleaning(null), new BeginCleaning(null), Receive()),
            KitStage.Quarantine => new BeginCleaning(random.Next(2) == 0 ? null : "needed"),
            KitStage.Cleaning or KitStage.Inspection or KitStage.Restock => Either(Sign(), Sign(), Sign(), new SendToRepair("a crack")),
            KitStage.FunctionCheck => Either(Check(), new ReleaseKit(), new ReleaseKit(), new CountKit([new ItemCount("TIPS", 20)], null)),
            KitStage.Repair => Either(new FinishRepair("mended", random.Next(3) == 0), new SendToLaboratory("a laboratory", today.AddDays(5))),
            KitStage.AtCalibration => new TakeFromLaboratory(null),
            KitStage.MissingParcel => Either(new ReportKitFound("there"), Receive(), Carrier(), Gone()),
            KitStage.Lost or KitStage.Stolen => Either(new ReportKitFound("there"), new RetireKit("gone")),
            _ => Any(),
        };
    }

    private KitCommand Any() => random.Next(34) switch
    {
        0 => new CommissionKit(),
        1 => new ReleaseKit(),
        2 => new PlaceHold(Hand(), "a reason"),
        3 or 4 => new LiftHold(Hand(), "a reason"),
        5 => Reserve(),
        6 => new CallOffLoan(Loan(), "not needed"),
        7 => Extend(),
        8 => new SignLoanPaper(Loan(), "the borrower"),
        9 => new TakeReminderStep(Loan(), "call", null),
        10 => Pack(),
        11 => new StageKit(Loan()),
        12 or 13 => Send(),
        14 => Carrier(),
        15 => new CheckInKit(Loan(), Counts(), null, EntryMeans.Scanned),
        16 => PackUp(),
        17 => Receive(),
        18 => new QuarantineKit(now.AddHours(10), "asked for"),
        19 => new BeginCleaning(null),
        20 => Sign(),
        21 => new SendToRepair("a crack"),
        22 => new FinishRepair("mended", true),
        23 => new SendToLaboratory("a laboratory", today.AddDays(5)),
        24 => new TakeFromLaboratory(null),
        25 => new ReportParcelMissing("no word"),
        26 => random.Next(4) == 0 ? Gone() : Check(),
        27 => new ReportKitFound("there"),
        28 => random.Next(4) == 0 ? new RetireKit("worn out") : Check(),
        29 => new CorrectEntry(random.Next(1, (int)state.Version + 2), random.Next(3) > 0, "a slip"),
        30 => new CorrectEntry(Math.Max(1, state.Version), true, "a slip"),
        31 => new SetContents(ClinicPlay.Items),
        32 => new CountKit(Counts(), null),
        _ => state.LookBacks is [.., var list] && list.Fact.Sessions.Count > 0 ? new ReviewSession(list.Number, list.Fact.Sessions[random.Next(list.Fact.Sessions.Count)], "unchanged") : Check(),
    };

    private KitCommand Either(params ReadOnlySpan<KitCommand> commands) => commands[random.Next(commands.Length)];

    private KitHoldKind Hand() => KitHolds.ByHand[random.Next(KitHolds.ByHand.Count)];

    private ReportKitGone Gone() => new(random.Next(2) == 0, "nobody knows", random.Next(2) == 0);

    /// <summary>The last loan that ended with some kit: called off there, or back from it.</summary>
    private LoanId? Past() => all[random.Next(all.Count)].PastLoans is [.., var past] ? past.LoanId : null;

    /// <summary>A loan of this kit, now and then one of another kit, one that is over or none at all.</summary>
    private LoanId Loan() => random.Next(12) switch
    {
        0 => LoanId.New(),
        1 when all[random.Next(all.Count)].Loans is [var other, ..] => other.LoanId,
        2 => Past() ?? LoanId.New(),
        _ => state.InHand ?? (state.Loans.Count == 0 ? LoanId.New() : state.Loans[random.Next(state.Loans.Count)].LoanId),
    };

    private ReserveKit Reserve()
    {
        var from = today.AddDays(random.Next(10) == 0 ? -3 : random.Next(0, 30));
        var due = from.AddDays(random.Next(1, 20));
        return new ReserveKit(random.Next(8) switch { 0 => Loan(), < 4 => Past() ?? LoanId.New(), _ => LoanId.New() }, from, due, due.AddDays(random.Next(0, 5)), "Mill Lane 4");
    }

    private ExtendLoan Extend()
    {
        var due = today.AddDays(random.Next(-5, 30));
        return new ExtendLoan(Loan(), due, due.AddDays(3), "a second session");
    }

    private PackKit Pack() => new(random.Next(6) == 0 || state.Loans.Count == 0 ? Loan() : state.Loans[0].LoanId, Counts(), null, null);

    private PackUpKit PackUp() => new(Loan(), random.Next(2) == 0 ? [] : Counts(), null, null);

    private SendKit Send() => new(Loan(), "RX 1", today.AddDays(random.Next(8) == 0 ? -40 : 0), EntryMeans.Typed);

    private RecordCarrier Carrier() => new(Loan(), (CarrierStatus)random.Next(6), CarrierReason.None, null, now.AddHours(random.Next(8) == 0 ? 5 : -1), EntryMeans.Reported, null);

    private ReceiveKit Receive() => new(null, random.Next(2) == 0 ? [] : Counts(), null, EntryMeans.Scanned);

    private RecordFunctionCheck Check() => KitSamples.Function(random.Next(5) > 0);

    private List<ItemCount> Counts() => state.Items.Count == 0 && random.Next(5) > 0 ? [] : [new ItemCount("PHONES", 1), new ItemCount("TIPS", random.Next(4) == 0 ? random.Next(20) : 20)];

    private SignTurnaround Sign()
    {
        var step = random.Next(10) == 0 || !TurnaroundLines.Steps.Contains(state.Stage) ? TurnaroundLines.Steps[random.Next(3)] : state.Stage;
        var counts = state.Items.Count == 0 ? [] : step == KitStage.Cleaning ? [new ItemCount("TIPS", random.Next(5))] : Counts();
        if (random.Next(4) == 0)
        {
            return new SignTurnaround(step, [], counts, "done at the site", null);
        }

        var fails = random.Next(6) == 0;
        return new SignTurnaround(step, [.. TurnaroundLines.Of(step, state.Items).Select((line, index) => new FunctionAnswer(line.Code, !(fails && index == 0)))], counts, null, fails ? "a crack" : null);
    }
}
