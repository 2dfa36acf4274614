using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>A kit in memory that can be brought to any stage by the commands that lead there.</summary>
internal sealed class JourneyKit
{
    public JourneyKit()
    {
        Kit.Tell(KitSamples.Gear(Today.AddDays(-20)));
        Must(new SetContents(Contents));
    }

    public static IReadOnlyList<KitItem> Contents { get; } =
    [
        new("PHONES", "earphones, pair", 1, 1) { Contact = ItemContact.Skin, ContactTimeSeconds = 60 },
        new("TIPS", "insert tips, pair", 20, 10) { Contact = ItemContact.Canal, SingleUse = true },
        new("PROBE", "probe tips, reusable", 4, 2) { Contact = ItemContact.Canal },
    ];

    public static IReadOnlyList<ItemCount> Full { get; } = [new("PHONES", 1), new("TIPS", 20), new("PROBE", 4)];

    public PureKit Kit { get; } = new();

    public LoanId Loan { get; } = LoanId.New();

    public SessionId Session { get; } = SessionId.New();

    public DateOnly Today => Kit.Today;

    public KitState State => Kit.State;

    public KitStage Stage => Kit.State.Stage;

    public IReadOnlyList<KitHoldKind> Holds => [.. KitHolds.Of(State, Kit.Context.Others, Today).Select(hold => hold.Kind)];

    public JourneyKit Must(KitCommand command)
    {
        Assert.Null(Kit.Ask(command));
        return this;
    }

    public Refusal Refused(KitCommand command)
    {
        var before = State.Version;
        var refusal = Kit.Ask(command);
        Assert.NotNull(refusal);
        Assert.Equal(before, State.Version);
        return refusal;
    }

    public ReserveKit Promise(LoanId? loan = null, int from = 1, int days = 14, int turnaround = 3) =>
        new(loan ?? Loan, Today.AddDays(from), Today.AddDays(from + days), Today.AddDays(from + days + turnaround), "Mill Lane 4");

    public SendKit Send(int days = 0) => new(Loan, "RX 1234", Today.AddDays(days), EntryMeans.Scanned);

    public RecordCarrier Carrier(CarrierStatus status, CarrierReason reason = CarrierReason.None) => new(Loan, status, reason, "Fernhill", Kit.Now, EntryMeans.Reported, null);

    public static SignTurnaround Skip(KitStage step) => new(step, [], [], "done at the site", null);

    public static SignTurnaround Sign(KitStage step, IReadOnlyList<ItemCount>? counts = null, bool fails = false) => new(
        step,
        [.. TurnaroundLines.Of(step, Contents).Select((line, index) => new FunctionAnswer(line.Code, !(fails && index == 0)))],
        counts ?? [],
        null,
        fails ? "a crack in the case" : null);

    public void Use(SessionId? session = null) => Kit.Happen(UseDecider.TakenIntoUse(State, session ?? Session, KitSamples.Coordinator));

    public void SetDown(SessionId? session = null) => Kit.Happen(UseDecider.SetDown(State, session ?? Session, KitSamples.Coordinator, Kit.Context));

    /// <summary>Brings it to a stage by what leads there.</summary>
    public JourneyKit At(KitStage stage)
    {
        switch (stage)
        {
            case KitStage.Available:
                break;
            case KitStage.Draft:
                Kit.Happen([new KitDrafted(KitSamples.Coordinator)]);
                break;
            case KitStage.Commissioned:
                At(KitStage.Draft).Must(new CommissionKit());
                break;
            case KitStage.Reserved:
                Must(Promise());
                break;
            case KitStage.Packed:
                At(KitStage.Reserved).Must(new SignLoanPaper(Loan, "Edda Sorrel")).Must(new PackKit(Loan, Full, "photo-1", "S-4411"));
                break;
            case KitStage.AwaitingPickup:
                At(KitStage.Packed).Must(new StageKit(Loan));
                break;
            case KitStage.InTransitOut:
                At(KitStage.AwaitingPickup).Must(Send());
                break;
            case KitStage.Delivered:
                At(KitStage.InTransitOut).Must(Carrier(CarrierStatus.Delivered));
                break;
            case KitStage.CheckedInAtSite:
                At(KitStage.Delivered).Must(new CheckInKit(Loan, Full, null, EntryMeans.Scanned));
                break;
            case KitStage.InUse:
                At(KitStage.CheckedInAtSite).Use();
                break;
            case KitStage.AwaitingReturn:
                At(KitStage.CheckedInAtSite).Must(new PackUpKit(Loan, Full, null, "S-4412"));
                break;
            case KitStage.InTransitBack:
                At(KitStage.AwaitingReturn).Must(Send());
                break;
            case KitStage.Received:
                At(KitStage.InTransitBack).Must(new ReceiveKit("RX 5678", [], null, EntryMeans.Scanned));
                break;
            case KitStage.Quarantine:
                At(KitStage.Received).Must(new QuarantineKit(Kit.Now.AddHours(24), "a cold in the house"));
                break;
            case KitStage.Cleaning:
                At(KitStage.Received).Must(new BeginCleaning(null));
                break;
            case KitStage.Inspection:
                At(KitStage.Cleaning).Must(Sign(KitStage.Cleaning, [new("TIPS", 4)]));
                break;
            case KitStage.Restock:
                At(KitStage.Inspection).Must(Sign(KitStage.Inspection, [new("TIPS", 16)]));
                break;
            case KitStage.FunctionCheck:
                At(KitStage.Restock).Must(Sign(KitStage.Restock, Full));
                break;
            case KitStage.Repair:
                Must(new SendToRepair("plug bent"));
                break;
            case KitStage.AtCalibration:
                Must(new SendToLaboratory("Alder Lane Acoustics (invented)", Today.AddDays(7)));
                break;
            case KitStage.MissingParcel:
                At(KitStage.InTransitOut).Must(new ReportParcelMissing("no entry for a week"));
                break;
            case KitStage.Lost:
                At(KitStage.MissingParcel).Must(new ReportKitGone(false, "never found", false));
                break;
            case KitStage.Stolen:
                At(KitStage.CheckedInAtSite).Must(new ReportKitGone(true, "taken from the porch", true));
                break;
            case KitStage.Retired:
                Must(new RetireKit("case broken"));
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(stage), stage, "No way leads there.");
        }

        Assert.Equal(stage, Stage);
        return this;
    }
}
