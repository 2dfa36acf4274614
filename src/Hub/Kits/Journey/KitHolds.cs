using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>What holds a kit on a day: derived from its facts where they say so, else placed by hand. Any hold forbids promising and sending it. Pure.</summary>
internal static class KitHolds
{
    /// <summary>Holds a person places and lifts.</summary>
    public static IReadOnlyList<KitHoldKind> ByHand { get; } = [KitHoldKind.SafetyNotice, KitHoldKind.FirmwareNotApproved, KitHoldKind.BatterySuspect, KitHoldKind.DataNotWiped];

    /// <summary>Whether it is about one loan and not about the kit.</summary>
    public static bool IsOfALoan(KitHoldKind kind) => kind is KitHoldKind.LoanPaperMissing or KitHoldKind.CalibrationWouldExpireOnLoan;

    /// <summary>Whether a session may not start a test with it, whoever is tested. Cleaning that is not signed forbids the test of another person only (<see cref="KitJudgement.HoldsOnTesting"/>). What is about promising, sending and handing on alone does not forbid a test where the kit is (docs/decisions/0026).</summary>
    public static bool ForbidsTesting(KitHoldKind kind) => kind is not (
        KitHoldKind.CleaningUnsigned or KitHoldKind.LoanPaperMissing or KitHoldKind.CalibrationWouldExpireOnLoan or KitHoldKind.LookBackOpen or KitHoldKind.ItemMissing);

    /// <summary>Holds by hand under which a kit goes into no parcel at all, not to a laboratory and not back from a site either: a battery that may be damaged, and what a maker or an authority warned of.</summary>
    /// <remarks>Lithium batteries that are damaged, defective or recalled are a class of their own in transport and mostly forbidden in the mail (UN Model Regulations, special provision 376); what applies is for the carrier and local rules to say.</remarks>
    public static IReadOnlyList<HoldPlaced> AgainstParcels(KitState state) =>
        [.. state.HoldsByHand.Values.Where(hold => hold.Kind is KitHoldKind.BatterySuspect or KitHoldKind.SafetyNotice).OrderBy(hold => hold.Kind)];

    /// <summary>Everything that holds the kit.</summary>
    /// <param name="state">The kit.</param>
    /// <param name="others">The other kits of the clinic.</param>
    /// <param name="today">The hub's day.</param>
    public static IReadOnlyList<KitHold> Of(KitState state, IEnumerable<KitState> others, DateOnly today)
    {
        if (state.Stage == KitStage.Retired)
        {
            return [];
        }

        return
        [
            .. KitJudgement.Doubts(state, others).Select(sentence => Derived(KitHoldKind.RecordDoubtful, sentence)),
            .. KitJudgement.CalibrationFaults(state, today).Select(sentence => Derived(KitHoldKind.CalibrationExpired, sentence)),
            .. PartsReplaced(state).Select(sentence => Derived(KitHoldKind.CalibrationExpired, sentence)),
            .. KitJudgement.FailedChecks(state).Select(sentence => Derived(KitHoldKind.CheckFailed, sentence)),
            .. LookBack(state).Select(sentence => Derived(KitHoldKind.LookBackOpen, sentence)),
            .. Cleaning(state).Select(sentence => Derived(KitHoldKind.CleaningUnsigned, sentence)),
            .. Unwiped(state).Select(sentence => new KitHold(KitHoldKind.DataNotWiped, sentence, PlacedByHand: false, ForbidsTesting: false)),
            .. Missing(state, today).Select(sentence => Derived(KitHoldKind.ItemMissing, sentence)),
            .. Paper(state).Select(sentence => Derived(KitHoldKind.LoanPaperMissing, sentence)),
            .. Outlived(state).Select(sentence => Derived(KitHoldKind.CalibrationWouldExpireOnLoan, sentence)),
            .. state.HoldsByHand.Values.OrderBy(hold => hold.Kind).Select(hold => new KitHold(hold.Kind, $"{Name(hold.Kind)}: {hold.Reason} (held by {hold.By.Name})", PlacedByHand: true, ForbidsTesting(hold.Kind))),
        ];
    }

    /// <summary>A hold in a few words.</summary>
    public static string Name(KitHoldKind kind) => kind switch
    {
        KitHoldKind.CalibrationExpired => "Calibration over",
        KitHoldKind.CalibrationWouldExpireOnLoan => "Calibration ends during the loan",
        KitHoldKind.CheckFailed => "A check failed",
        KitHoldKind.CleaningUnsigned => "Cleaning not signed",
        KitHoldKind.ItemMissing => "Something is missing",
        KitHoldKind.DataNotWiped => "Not shown to be wiped",
        KitHoldKind.SafetyNotice => "Safety notice",
        KitHoldKind.FirmwareNotApproved => "Program not approved",
        KitHoldKind.LoanPaperMissing => "Loan paper not signed",
        KitHoldKind.BatterySuspect => "Battery in doubt",
        KitHoldKind.LookBackOpen => "Sessions to be looked at again",
        KitHoldKind.RecordDoubtful => "Record in doubt",
        _ => kind.ToString(),
    };

    /// <summary>Lines of a count that are short of what must be in the case, or past their last day of use, as short phrases.</summary>
    public static IReadOnlyList<string> Short(IReadOnlyList<KitItem> items, IReadOnlyDictionary<string, int> inCase, DateOnly today) =>
    [
        .. items
            .Where(item => inCase.TryGetValue(item.ItemId, out var count) && count < item.ParCount)
            .Select(item => string.Create(CultureInfo.InvariantCulture, $"{item.Kind} ({inCase[item.ItemId]} of {item.ParCount})")),
        .. items
            .Where(item => item is { ParCount: > 0, Expiry: { } last } && last < today)
            .Select(item => string.Create(CultureInfo.InvariantCulture, $"{item.Kind} (past its last day of use, {item.Expiry:d MMMM yyyy})")),
    ];

    private static KitHold Derived(KitHoldKind kind, string sentence) => new(kind, sentence, PlacedByHand: false, ForbidsTesting(kind));

    private static IEnumerable<string> PartsReplaced(KitState state) => state.PartsReplacedOn is { } day
        ? [string.Create(CultureInfo.InvariantCulture, $"Parts were replaced on {day:d MMMM yyyy}. Until a calibration made on that day or later is in place, the kit is not used.")]
        : [];

    private static IEnumerable<string> LookBack(KitState state) => state.WaitingForReview() switch
    {
        0 => [],
        1 => ["One session since the last good check waits to be looked at again."],
        var waiting => [string.Create(CultureInfo.InvariantCulture, $"{waiting} sessions since the last good check wait to be looked at again.")],
    };

    private static IEnumerable<string> Cleaning(KitState state) => state.UsedSinceCleaning && !KitStages.CleaningAhead(state.Stage)
        ? ["It was used, and nobody has signed since then that it is clean. It tests nobody else before: clean what touched skin or canal, then sign it on this page."]
        : [];

    // Where the kit is with a person it goes on being used; what is on its disk matters where it leaves their hands.
    private static IEnumerable<string> Unwiped(KitState state) => KitStages.AtBase(state.Stage) || KitStages.IsPacked(state.Stage)
        ? state.Unwiped.Where(sessionId => sessionId != state.InSession).ToList() switch
        {
            [] => [],
            [_] => ["It has not attested that nothing of the last session is left on it. Switch it on and link it: it wipes itself and says so."],
            var left => [string.Create(CultureInfo.InvariantCulture, $"It has not attested that nothing of {left.Count} sessions is left on it. Switch it on and link it: it wipes itself and says so.")],
        }
        : [];

    private static IEnumerable<string> Missing(KitState state, DateOnly today) =>
        !KitStages.RestockAhead(state.Stage) && Short(state.Items, state.InCase, today) is { Count: > 0 } missing
            ? ["At the last count this was short: " + string.Join(", ", missing) + "."]
            : [];

    private static IEnumerable<string> Paper(KitState state) => KitStages.IsPacked(state.Stage) && state.LoanInHand is { Paper: null } loan
        ? [$"The paper of the loan to {loan.Place} is not signed."]
        : [];

    private static IEnumerable<string> Outlived(KitState state) => KitJudgement.HoldsUntil(state) is { } until && !KitStages.IsGone(state.Stage)
        ? state.Loans
            .Where(loan => loan.SentOn is null && loan.DueBack > until)
            .Select(loan => string.Create(CultureInfo.InvariantCulture, $"The calibration ends on {until:d MMMM yyyy}, before the loan to {loan.Place} does on {loan.DueBack:d MMMM yyyy}."))
        : [];
}
