using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Sessions.Start;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions;

/// <summary>What each stage needs before the session leaves it. The texts of a stage are always the same; only whether they are met changes.</summary>
internal static class GateNeeds
{
    public static IReadOnlyList<GateNeed> Of(SessionStage stage, SessionState state, SessionFacts facts) => stage switch
    {
        SessionStage.Connecting => [Kit("kit-online", "The kit is connected", facts.KitOnline, facts.KitOnline ? null : "Out of reach: ask the site to switch it on and check its network.")],
        SessionStage.Identity => Identity(state),
        SessionStage.Consent => Consented(state.Consent),
        SessionStage.KitCheck => KitCheck(state, facts),
        SessionStage.RoomNoise => Room(state),
        SessionStage.EarLook => Ears(state),
        SessionStage.SideProof => Sides(state),
        SessionStage.Testing => [Kit("threshold", "At least one threshold is measured", state.Thresholds.Count > 0, Count(state.Thresholds.Count, "measured"))],
        SessionStage.Review => [Clinician("review", "Every warning sign is answered and the review recorded", state.Review is not null, null)],
        SessionStage.Handoff => Handoff(state),
        _ => [],
    };

    private static GateNeed[] Identity(SessionState state)
    {
        var card = state.Identity?.Card;
        var again = StartCards.AgainBecause(state);
        return
        [
            Clinician("identifiers", "Two identifiers of different kinds are confirmed", card is not null && card.Identifiers.Select(said => said.Kind).Distinct().Count() == 2, null),
            Clinician("address", "The exact address of the person now and its country or part are known", card is not null && Jurisdictions.Find(card.Jurisdiction) is not null, card is null ? null : $"{card.AddressNow}{(card.Jurisdiction.Length == 0 ? string.Empty : $" ({card.Jurisdiction})")}"),
            Clinician("emergency", "The local emergency number, a contact and a call-back number are known", card is not null, card?.EmergencyNumber),
            Clinician("present", "Who is in both rooms is agreed, and the clinician is introduced", card is { PeopleAgreed: true, Introduced: true, PeopleWithClinician.Length: > 0 }, card?.Present),
            Clinician("licence", "A registration covers the place, or a reason is given", state.Identity is { } confirmed && (confirmed.Standing == RegistrationStanding.Matches || card?.RegistrationReason is not null), Registered(state.Identity)),
            Clinician("card-stands", "The card is confirmed by whoever leads the session, and since the last long gap", state.Identity is not null && again is null, again),
        ];
    }

    private static string? Registered(ConfirmedCard? card) => card is null ? null
        : card.Standing == RegistrationStanding.Matches ? card.Registration?.ToString()
        : $"{(card.Standing == RegistrationStanding.Expired ? "Expired" : "Not covered")}: {card.Card.RegistrationReason}";

    private static GateNeed[] Consented(ConsentLedger consent)
    {
        var needed = ConsentPurposes.Needed.Select(consent.Of).ToList();
        return
        [
            Person("consent-care", "The person consents to the hearing test", consent.Covers(ConsentPurpose.Care), Standing(consent.Of(ConsentPurpose.Care))),
            Person("consent-remote", "The person consents to doing it at a distance", consent.Covers(ConsentPurpose.RemoteMode), Standing(consent.Of(ConsentPurpose.RemoteMode))),
            Clinician("consent-plan", "What happens when the technique fails is explained", needed.TrueForAll(entry => entry is { FailurePlanExplained: true }), null),
            Clinician("consent-visit", "A visit in person is offered instead", needed.TrueForAll(entry => entry is { InPersonOffered: true }), null),
        ];
    }

    private static string Standing(ConsentEntry? entry) => entry switch
    {
        null => "Not asked yet.",
        { Standing: ConsentStanding.Given } => $"Given by {entry.By.InWords()}.",
        { Standing: ConsentStanding.Declined } => $"Declined by {entry.By.InWords()}. Without it there is no test: end or convert the session.",
        _ => "Taken back. Without it there is no test: ask anew, or end or convert the session.",
    };

    private static GateNeed[] KitCheck(SessionState state, SessionFacts facts)
    {
        var failed = state.KitCheck?.Lines.Where(line => !line.Passed).Select(line => $"{line.Label}: {line.Finding}") ?? [];
        return
        [
            Kit("kit-check", "The kit has passed its check", state.KitCheck is { Passed: true }, state.KitCheck is null ? "Not checked yet." : string.Join(" ", failed) is { Length: > 0 } text ? text : "Passed."),
            Kit("kit-fit", "Nothing recorded about this kit forbids using it", facts.KitHolds.Count == 0, facts.KitHolds.Count == 0 ? "Nothing does." : string.Join(" ", facts.KitHolds)),
            Assistant("kit-check-card", "The assistant has set the kit up and marked the card done", state.CardsDone.Contains(SessionStage.KitCheck)),
        ];
    }

    private static GateNeed[] Room(SessionState state)
    {
        var limited = LimitedFrequencies(state.Room);
        var detail = state.Room is null
            ? "Not measured yet."
            : state.Room.NotMeasured is { } unmeasured
                ? $"Not measured: {unmeasured} Nothing can be said about low levels."
            : limited.Count == 0
                ? "The room is quiet enough down to 0 dB HL."
                : "Low levels are hidden, or cannot be shown to be audible, at " + string.Join(", ", limited) + ".";
        return
        [
            Kit("room", "The room noise is measured, or cannot be with this kit", state.Room is not null, state.Room is null ? "Not measured yet." : state.Room.NotMeasured ?? "Measured."),
            Clinician("room-accepted", "The room is quiet enough, or accepted with a reason", state.Room is not null && (limited.Count == 0 || state.RoomAcceptedReason is not null), state.RoomAcceptedReason is { } reason ? "Accepted: " + reason : detail),
        ];
    }

    /// <summary>Frequencies at which the room hides levels from 0 dB HL up, or the kit cannot show that it does not.</summary>
    internal static IReadOnlyList<string> LimitedFrequencies(RoomResult? room) => room is null
        ? []
        : room.NotMeasured is not null
        ? ["every frequency (not measured)"]
        : [.. room.LowestProvable
            .Where(bound => bound.LevelDbHl > 0 || !bound.Verifiable)
            .OrderBy(bound => bound.FrequencyHz)
            .Select(bound => string.Create(CultureInfo.InvariantCulture, $"{bound.FrequencyHz} Hz ({(bound.Verifiable ? string.Empty : "not shown below ")}{bound.LevelDbHl:0} dB HL)"))];

    private static GateNeed[] Ears(SessionState state) =>
    [
        Look(state, Ear.Right, "ear-right", "The right ear is looked at and decided about"),
        Look(state, Ear.Left, "ear-left", "The left ear is looked at and decided about"),
        Clinician("ear-safe", "At least one ear may be covered", state.IsSafe(Ear.Right) || state.IsSafe(Ear.Left), state.EarLooks.Count == 2 && !state.IsSafe(Ear.Right) && !state.IsSafe(Ear.Left) ? "Neither ear may be covered: convert the session to a visit or a referral." : null),
    ];

    private static GateNeed Look(SessionState state, Ear ear, string code, string text) =>
        Clinician(code, text, state.EarLooks.ContainsKey(ear), state.EarLooks.TryGetValue(ear, out var look) ? (look.SafeToCover ? "May be covered." : "Must not be covered.") : null);

    private static GateNeed[] Sides(SessionState state)
    {
        var bothCovered = state.IsSafe(Ear.Right) && state.IsSafe(Ear.Left);
        var wrong = state.SideProof?.Trials.Count(trial => trial.Answered != trial.Played) ?? 0;
        var detail = !bothCovered
            ? "Only one ear may be covered: ask the assistant to say the letter on that earphone."
            : state.SideProof is null
                ? "Not done yet."
                : state.SidesAcceptedReason is { } reason ? "Accepted: " + reason
                : state.SideProof.OnlyAt is { } only ? $"The {(only == Ear.Right ? "right" : "left")} ear answered rightly, the other not at all. Check that earphone and go louder; if that ear is known to hear nothing, accept it with the reason."
                : wrong == 0 ? "All sides were right." : Count(wrong, "wrong") + " Check that the earphones are on the right ears and do it again.";
        return [Kit("side-proof", "The earphones are proven to be on the right ears", !bothCovered || state.SidesKnown, detail)];
    }

    private static GateNeed[] Handoff(SessionState state) =>
    [
        Clinician("handoff", "The key message and the next step are recorded", state.Handoff is not null, state.Handoff?.NextStep),
        Clinician("handoff-owner", "Somebody is named who owns the next step", state.Handoff?.Owner is not null, state.Handoff?.Owner?.Name),
        .. Sharing(state),
        Assistant("pack-up-card", "The assistant has packed up and marked the card done", state.CardsDone.Contains(SessionStage.Handoff)),
    ];

    /// <summary>What was handed to somebody outside rests on consent for as long as the session is open: taken back, the handoff is recorded anew without them.</summary>
    private static IEnumerable<GateNeed> Sharing(SessionState state) => state.Handoff is { IsShared: true }
        ? [Person("handoff-sharing", "The person agrees to sharing with whoever is named outside (or record the handoff without them)", state.Consent.Covers(ConsentPurpose.Sharing), null)]
        : [];

    private static string Count(int count, string what) => string.Create(CultureInfo.InvariantCulture, $"{count} {what}.");

    private static GateNeed Kit(string code, string text, bool met, string? detail) => new(code, text, Supplier.Kit, met, detail);

    private static GateNeed Clinician(string code, string text, bool met, string? detail) => new(code, text, Supplier.Clinician, met, detail);

    private static GateNeed Person(string code, string text, bool met, string? detail) => new(code, text, Supplier.PersonTested, met, detail);

    private static GateNeed Assistant(string code, string text, bool met) => new(code, text, Supplier.Assistant, met, met ? "Done." : "Not done yet.");
}
