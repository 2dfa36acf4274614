using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Consent;

/// <summary>Answers, questions on the kit's screen, and consent taken back. Pure.</summary>
internal static class ConsentDecider
{
    /// <summary>Who a kit's screen is in the record.</summary>
    private const string Screen = "the kit's screen";

    public static Decision Decide(SessionState state, SessionCommand command, Actor by, DecisionContext context) => command switch
    {
        AnswerConsent answer => Answer(state, answer, by, context.ConsentTexts),
        AskConsentOnScreen ask => Ask(ask, by, context.ConsentTexts),
        WithdrawConsent withdraw => Withdraw(state, withdraw, by),
        DeclareRecording declared => Declare(state, declared, by),
        _ => throw new ArgumentOutOfRangeException(nameof(command), command.GetType().Name, "Not a command of this group."),
    };

    /// <summary>An answer pressed on the kit's screen. A no is always taken; a yes only to a question that waits for it.</summary>
    public static Decision AnsweredHere(SessionState state, ConsentAnsweredHere answered)
    {
        var recorder = new Actor(state.KitId.Value, Screen);
        var asked = state.ConsentAsked;
        var text = asked?.Texts.FirstOrDefault(text => text.Purpose == answered.Purpose && text.Language == answered.Language && text.Version == answered.TextVersion);
        if (asked is not null && text is not null && !Stages.IsOver(state.Stage))
        {
            return With(state, [new ConsentAnswered(answered.Purpose, answered.Given, text.Shown(), asked.AnsweredBy, ConsentMeans.KitScreen, asked.FailurePlanExplained, asked.InPersonOffered, recorder)]);
        }

        return answered.Given
            ? Decision.Refuse(RefusalCodes.ConsentMissing, $"The kit's screen answered yes about {ConsentPurposes.InWords(answered.Purpose)}, which is not asked any more. Nothing was recorded as agreed.", "Ask again.")
            : state.Consent.Covers(answered.Purpose)
                ? With(state, [new ConsentTakenBack([answered.Purpose], ConsentParty.Themself, ConsentMeans.KitScreen, null, recorder)])
                : Decision.Of();
    }

    /// <summary>"I no longer agree" was pressed on the kit's screen: everything given is taken back and the session stops, whatever that was. The kit waits for somebody to resume.</summary>
    /// <remarks>Where nothing is given any more, and the session may be stopped already, the press is an event all the same: the kit is released only after a picture made with its press, and there would be none.</remarks>
    public static Decision TakenBackHere(SessionState state) =>
        Stopped(state, Unlent(state, state.Consent.AnyGiven || Stages.IsOpen(state.Stage) ? [new ConsentTakenBack(state.Consent.Covered, ConsentParty.Themself, ConsentMeans.KitScreen, null, new Actor(state.KitId.Value, Screen))] : []));

    private static Decision Answer(SessionState state, AnswerConsent answer, Actor by, IReadOnlyList<ConsentText> texts)
    {
        List<ConsentAnswered> answered = [];
        foreach (var reply in answer.Replies)
        {
            if (texts.FirstOrDefault(text => text.Purpose == reply.Purpose && text.Language == answer.Language && text.Version == reply.TextVersion) is not { } text)
            {
                return NoText(reply.Purpose, answer.Language);
            }

            answered.Add(new ConsentAnswered(reply.Purpose, reply.Given, text.Shown(), answer.By, answer.How, answer.FailurePlanExplained, answer.InPersonOffered, by));
        }

        return With(state, answered);
    }

    private static Decision Ask(AskConsentOnScreen ask, Actor by, IReadOnlyList<ConsentText> texts)
    {
        List<ConsentText> asked = [];
        foreach (var purpose in ask.Purposes)
        {
            if (texts.Where(text => text.Purpose == purpose && text.Language == ask.Language).MaxBy(text => text.Version) is not { } newest)
            {
                return NoText(purpose, ask.Language);
            }

            asked.Add(newest);
        }

        return Decision.Of(new ConsentAskedOnScreen(asked, ask.By, ask.FailurePlanExplained, ask.InPersonOffered, by));
    }

    private static Decision NoText(ConsentPurpose purpose, string language) => Decision.Refuse(
        RefusalCodes.Invalid,
        $"The clinic keeps no such text about {ConsentPurposes.InWords(purpose)} in the language \"{language}\".",
        "Choose another language, or ask the owner to add the text.");

    private static Decision Withdraw(SessionState state, WithdrawConsent withdraw, Actor by)
    {
        var purposes = (withdraw.Purposes.Count == 0 ? state.Consent.Covered : withdraw.Purposes.Distinct()).Where(state.Consent.Covers).ToList();
        return purposes.Count == 0
            ? Decision.Refuse(RefusalCodes.ConsentMissing, "None of this is given now, so there is nothing to take back.", "Look at the session as it is now.")
            : With(state, [new ConsentTakenBack(purposes, withdraw.By, withdraw.How, withdraw.Reason, by)]);
    }

    private static Decision Declare(SessionState state, DeclareRecording declared, Actor by) => declared.Runs
        ? state.Consent.WhyNot(ConsentPurpose.Recording) is { } refusal ? new Refused(refusal) : Decision.Of(new RecordingDeclared(true, declared.What, by))
        : state.Recording is null ? Decision.Refuse(RefusalCodes.Invalid, "No recording runs.", "Nothing needs to be done.") : Decision.Of(new RecordingDeclared(false, declared.What, by));

    /// <summary>The answers with the end of a loan to an assistant who is not agreed to any more, and a stop when they take away what testing rests on.</summary>
    private static Decision With(SessionState state, IReadOnlyList<SessionEvent> answers)
    {
        var ends = ConsentPurposes.All.Where(ConsentPurposes.EndsTesting).Any(purpose => state.Consent.Covers(purpose) && !CoversAfter(state, answers, purpose));
        var events = state.Consent.Covers(ConsentPurpose.Assistant) && !CoversAfter(state, answers, ConsentPurpose.Assistant) ? Unlent(state, answers) : answers;
        return ends ? Stopped(state, events) : new Decided(events, [], null);
    }

    private static IReadOnlyList<SessionEvent> Unlent(SessionState state, IReadOnlyList<SessionEvent> answers) =>
        state is { Control.Loan: { } loan, Holder: { } holder }
            ? [.. answers, new ControlReturned(state.Epoch + 1, holder, loan.By, ControlLoanEnd.Consent)]
            : answers;

    private static bool CoversAfter(SessionState state, IReadOnlyList<SessionEvent> events, ConsentPurpose purpose) =>
        events.Aggregate(state.Consent.Covers(purpose), (covers, happened) => happened switch
        {
            ConsentAnswered answered when answered.Purpose == purpose => answered.Given,
            ConsentTakenBack back when back.Purposes.Contains(purpose) => false,
            _ => covers,
        });

    private static Decided Stopped(SessionState state, IReadOnlyList<SessionEvent> events)
    {
        var reason = events.LastOrDefault(happened => happened is ConsentTakenBack || (happened is ConsentAnswered { Given: false } answered && ConsentPurposes.EndsTesting(answered.Purpose))) switch
        {
            ConsentTakenBack { Reason: { } said } => said,
            ConsentAnswered { How: not ConsentMeans.KitScreen } no => $"the answer about {ConsentPurposes.InWords(no.Purpose)} is no now; {no.Recorder.Name} recorded it",
            _ => "said at the site",
        };
        var moves = Stages.IsOpen(state.Stage) && state.Stage != SessionStage.Stopped;
        return new Decided(moves ? [.. events, new SessionStopped(state.Stage, StopCause.Consent, reason)] : events, Silence.Of(state), null);
    }
}
