using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.CompilerServices;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Views;

/// <summary>Says in sentences what happened. Single trials are left to their step.</summary>
internal static class Timeline
{
    /// <summary>How far back it is looked for what was said of a session before (design): some pictures' worth of events.</summary>
    private const int LookBack = 64;

    /// <summary>What was said of a session up to its last event of then, held as long as that event is. A log only grows, so a longer one begins with the same sentences.</summary>
    private static readonly ConditionalWeakTable<RecordedEvent, Said> _said = new();

    public static IReadOnlyList<TimelineEntry> Of(SessionState state)
    {
        var history = state.History;
        if (history.IsEmpty)
        {
            return [];
        }

        var before = Before(history);
        if (before.Events == history.Count)
        {
            return before.Entries;
        }

        var entries = before.Entries.ToBuilder();
        for (var index = before.Events; index < history.Count; index++)
        {
            var recorded = history[index];
            if (Sentence(recorded.Event, stepId => Request(history, index, stepId)) is { } text)
            {
                entries.Add(new TimelineEntry(recorded.Sequence, recorded.At, text));
            }
        }

        var said = new Said(history.Count, entries.ToImmutable());
        _said.AddOrUpdate(history[^1], said);
        if (before.Events > 0)
        {
            _said.Remove(history[before.Events - 1]);
        }

        return said.Entries;
    }

    private static Said Before(ImmutableList<RecordedEvent> history)
    {
        for (var count = history.Count; count > 0 && count > history.Count - LookBack; count--)
        {
            if (_said.TryGetValue(history[count - 1], out var said) && said.Events == count)
            {
                return said;
            }
        }

        return Said.Nothing;
    }

    /// <summary>What was asked for in a step, looked for from its end.</summary>
    private static StepRequest? Request(ImmutableList<RecordedEvent> history, int end, StepId stepId)
    {
        for (var index = end; index >= 0; index--)
        {
            if (history[index].Event is StepOrdered ordered && ordered.Order.StepId == stepId)
            {
                return ordered.Order.Request;
            }
        }

        return null;
    }

    private static string Standing(RegistrationStanding standing) => standing switch
    {
        RegistrationStanding.Matches => string.Empty,
        RegistrationStanding.Expired => " The registration for the place has expired.",
        _ => " No registration kept covers the place.",
    };

    private static string? Sentence(SessionEvent happened, Func<StepId, StepRequest?> requestOf) => happened switch
    {
        SessionScheduled => "The session was scheduled.",
        SessionKitChanged e => $"{e.By.Name} chose {e.To} for this session instead of {e.From}.",
        StageAdvanced e => $"Went on to {Stages.InWords(e.To)}.",
        StageSteppedBack e => $"Went back to {Stages.InWords(e.To)}.",
        SessionHeld e => $"{e.By.Name} held the session." + After(e.Reason),
        SessionResumed e => $"{e.By.Name} resumed the session at {Stages.InWords(e.To)}." + Again(e.Repeat) + After(e.Note),
        SessionStopped { Cause: StopCause.Consent } => "The session was stopped because consent was withdrawn.",
        SessionStopped => "The session was stopped from the site.",
        LinkWasLost => "The link to the kit was lost.",
        LinkWasRestored e => $"The link to the kit is back; the session is at {Stages.InWords(e.To)}." + Again(e.Repeat),
        SessionAborted e => $"{e.By.Name} ended the session early." + After(e.Reason),
        SessionConverted e => $"{e.By.Name} turned the session into a {(e.Target == ConversionTarget.Visit ? "visit in person" : "referral")}." + After(e.Reason),
        SessionErased => "What was recorded about the person was erased. That there were entries, and their hashes, remain.",
        IdentityConfirmed e => "Identity and place were confirmed." + (e.Identity.LicenceCoversAddress ? string.Empty : " The licence does not cover the address." + After(e.Identity.LicenceReason)),
        StartCardConfirmed e => $"{e.By.Name} confirmed who is there and where." + Standing(e.Standing) + Because(e.Card.RegistrationReason) + (e.LookAlikes.Count == 0 ? string.Empty : " Others look alike; which person it is was confirmed."),
        ConsentGiven e => $"Consent was given by {e.Consent.GivenBy}.",
        ConsentWithdrawn e => "Consent was withdrawn." + After(e.Reason),
        ConsentAnswered e => $"Consent to {ConsentPurposes.InWords(e.Purpose)}: {(e.Given ? "yes" : "no")}, by {e.AnsweredBy.InWords()}, {Means(e.How)}; text {e.Text.Version} ({e.Text.Language})." + (e.AnsweredBy.Doubt is { } doubt ? $" Doubt about capacity: {doubt}" : string.Empty),
        ConsentAskedOnScreen e => $"The kit's screen asks for consent to {string.Join(", ", e.Texts.Select(text => ConsentPurposes.InWords(text.Purpose)))}.",
        ConsentTakenBack { Purposes.Count: 0 } e => $"Consent was taken back by {e.TakenBackBy.InWords()}, {Means(e.How)}, when none was given." + After(e.Reason),
        ConsentTakenBack e => $"Consent to {string.Join(", ", e.Purposes.Select(ConsentPurposes.InWords))} was taken back by {e.TakenBackBy.InWords()}, {Means(e.How)}." + After(e.Reason),
        RecordingDeclared e => (e.Runs ? "A recording runs: " : "The recording ended: ") + e.What,
        EarLookedAt e => $"The {Side(e.Look.Ear)} ear was looked at: {Finding(e.Look.Finding)}; it {(e.Look.SafeToCover ? "may" : "must not")} be covered." + After(e.Look.Reason),
        RoomAccepted e => "The room was accepted as it is." + After(e.Reason),
        SidesAccepted e => "The side proof was accepted though one ear alone answered." + After(e.Reason),
        NoteAdded e => $"Note by {e.By.Name}: {e.Text}",
        MessageShown { Text.Length: 0 } => "The message on the kit screen was taken away.",
        MessageShown e => $"Message on the kit screen: {e.Text}",
        ReviewRecorded => "The review was recorded.",
        HandoffRecorded { Handoff.Owner: { } owner } => $"The handoff was recorded; the next step is with {owner.Name}.",
        HandoffRecorded => "The handoff was recorded.",
        ProtocolChosen e => $"{e.By.Name} chose the protocol \"{e.Protocol.Name}\", version {e.Protocol.Version}.",
        PlanChanged e => $"{e.By.Name} changed the plan: {PlanViews.InWords(e.Change)}.",
        StepOrdered e => $"{e.By.Name} asked for {What(e.Order.Request)}." + (e.LoudConfirmed ? " Levels above 100 dB HL were confirmed." : string.Empty),
        StepCutAsked e => $"{e.By.Name} cut the step.",
        ThresholdMeasured e => $"{Capital(Side(e.Threshold.Ear))} ear{By(e.Threshold.Route)}{(e.Threshold.Masking is null ? string.Empty : ", masked")}, {e.Threshold.FrequencyHz} Hz{(e.Threshold.Method == ThresholdMethod.Estimate ? ", estimate" : string.Empty)}: {Outcome(e.Threshold.Outcome)}.",
        StepOver e => Ended(e, requestOf(e.StepId) is { } request ? Capital(What(request)) : "The step"),
        SiteStopPressed => "Stop was pressed at the site.",
        CardMarkedDone e => $"The assistant marked the card \"{Stages.InWords(e.Stage)}\" as done.",
        HelpWasCalled => "The site called for help.",
        KitDataWiped e => $"{e.KitId} attested, signed with its key, that nothing of this session is left on it.",
        _ when ControlViews.Sentence(happened) is { } aboutControl => aboutControl,
        UnreadableEvent e => $"An event this version of the hub cannot read ({e.Kind}).",
        _ => null,
    };

    /// <summary>A reason in the middle of a line: it ends where somebody forgot to end it.</summary>
    private static string Because(string? reason) => reason?.Trim() is { Length: > 0 } why ? $" Reason: {why}{(why[^1] is '.' or '!' or '?' ? string.Empty : ".")}" : string.Empty;

    private static string Means(ConsentMeans how) => how switch
    {
        ConsentMeans.KitScreen => "on the kit's screen",
        ConsentMeans.SignedPaper => "on signed paper",
        _ => "spoken",
    };

    private static string Ended(StepOver over, string what) => over.Ending switch
    {
        StepEnding.Completed => $"{what} was completed.",
        StepEnding.Cut => $"{what} was cut.",
        StepEnding.Interrupted => $"{what} was broken off." + After(over.Reason),
        StepEnding.Refused => $"{what} was not begun." + After(over.Reason),
        StepEnding.Failed => $"{what} failed." + After(over.Reason),
        _ => $"{what} ended.",
    };

    private static string What(StepRequest request) => request switch
    {
        CheckKitStep => "the kit check",
        MeasureRoomStep => "the room measurement",
        ProveSidesStep => "the side proof",
        PresentToneStep tone => string.Create(CultureInfo.InvariantCulture, $"a tone of {tone.FrequencyHz} Hz at {tone.LevelDbHl:0.#} dB HL{By(tone.Route)} in the {Side(tone.Ear)} ear{(tone.MaskerDbEm is { } masker ? $", the other masked with {masker:0.#} dB" : string.Empty)}"),
        SearchThresholdStep search => $"the {(search.Masked ? "masked " : string.Empty)}threshold search at {search.FrequencyHz} Hz{By(search.Route)} in the {Side(search.Ear)} ear",
        WearGearStep wear => wear.Ear is { } ear ? $"the change to the bone vibrator {(wear.Route == ConductionRoute.BoneMastoid ? $"on the {Side(ear)} mastoid" : "on the forehead")}" : "the change to earphones on both ears",
        MeasurePartStep part => $"the {part.Part}, by the protocol",
        SearchEarStep search => $"the search of the {Side(search.Ear)} ear",
        _ => "a step",
    };

    private static string By(ConductionRoute route) => route == ConductionRoute.Air ? string.Empty : " by bone conduction";

    private static string Outcome(ThresholdOutcome outcome) => outcome switch
    {
        ThresholdOutcome.Established found => string.Create(CultureInfo.InvariantCulture, $"threshold {found.LevelDbHl:0.#} dB HL"),
        ThresholdOutcome.NoResponseAtLimit none => string.Create(CultureInfo.InvariantCulture, $"no response at {none.LimitDbHl:0.#} dB HL, the limit"),
        ThresholdOutcome.NoiseLimited hidden => string.Create(CultureInfo.InvariantCulture, $"limited by room noise, at or better than {hidden.BoundDbHl:0.#} dB HL"),
        ThresholdOutcome.NotEstablished not => $"not established ({not.Reason.TrimEnd('.')})",
        _ => "unknown",
    };

    private static string Finding(EarFinding finding) => finding switch
    {
        EarFinding.Clear => "clear",
        EarFinding.SomeWax => "some wax",
        EarFinding.BlockedByWax => "blocked by wax",
        EarFinding.DischargeOrBlood => "discharge or blood",
        EarFinding.PainOnTouch => "pain on touch",
        EarFinding.ForeignBody => "foreign body",
        EarFinding.PerforationOrTube => "perforation or tube",
        EarFinding.RecentSurgery => "recent surgery",
        EarFinding.NotSeen => "not seen",
        _ => "other",
    };

    private static string Side(Ear ear) => ear == Ear.Left ? "left" : "right";

    private static string Capital(string text) => char.ToUpperInvariant(text[0]) + text[1..];

    private static string After(string? reason) => string.IsNullOrWhiteSpace(reason) ? string.Empty : " " + reason.Trim();

    private static string Again(bool repeat) => repeat ? " The gap was long: room and side proof are repeated." : string.Empty;

    /// <param name="Events">How many events.</param>
    /// <param name="Entries">What was said of them.</param>
    private sealed record Said(int Events, ImmutableList<TimelineEntry> Entries)
    {
        public static Said Nothing { get; } = new(0, []);
    }
}
