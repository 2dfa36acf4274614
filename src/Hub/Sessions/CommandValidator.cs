using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Sessions.Start;

namespace TeleHearing.Hub.Sessions;

/// <summary>Checks the content of commands: texts there and not endless, numbers finite and in range, lists complete. Says everything that is wrong at once.</summary>
internal static class CommandValidator
{
    /// <summary>Longest line of text, in characters.</summary>
    public const int LongestLine = 500;

    /// <summary>Longest free text, in characters.</summary>
    public const int LongestText = 4000;

    public static IReadOnlyList<string> Faults(CommandEnvelope? envelope)
    {
        if (envelope is null)
        {
            return ["The command is missing."];
        }

        var faults = new Faults();
        faults.Need(envelope.CommandId.Value != Guid.Empty, "The command has no id.");
        faults.Need(envelope.SessionId.Value != Guid.Empty, "The command names no session.");
        faults.Need(envelope.ExpectedVersion >= 0, "The expected version is below zero.");
        if (envelope.Command is null)
        {
            faults.Need(false, "The command is empty.");
            return faults.All;
        }

        Content(envelope.Command, faults);
        return faults.All;
    }

    private static void Content(SessionCommand command, Faults faults)
    {
        switch (command)
        {
            case RequestControl or GrantControl or DeclineControl or TakeOverControl or OfferControl or EndOffer or LendControl or AcknowledgeHandoff:
                ControlValidator.Check(command, faults);
                break;
            case ConfirmIdentity confirm:
                CardValidator.Check(confirm.Card, faults);
                break;
            case AnswerConsent answer:
                ConsentValidator.Check(answer, faults);
                break;
            case AskConsentOnScreen ask:
                ConsentValidator.Check(ask, faults);
                break;
            case WithdrawConsent withdraw:
                ConsentValidator.Check(withdraw, faults);
                break;
            case DeclareRecording declared:
                faults.Text(declared.What, "what is recorded and where it is kept");
                break;
            case RecordEarLook look:
                EarLook(look, faults);
                break;
            case AcceptRoom accept:
                faults.Text(accept.Reason, "the reason");
                break;
            case AcceptSides accept:
                faults.Text(accept.Reason, "the reason");
                break;
            case OrderStep order:
                StepValidator.Check(order.Request, faults);
                break;
            case ChooseProtocol choice:
                faults.Line(choice.ProtocolId, "the protocol");
                break;
            case ChangePlan change:
                PlanChange(change.Change, faults);
                break;
            case Hold hold:
                faults.OptionalText(hold.Reason, "the reason");
                break;
            case Resume resume:
                faults.OptionalText(resume.Note, "the note");
                break;
            case AddNote note:
                faults.Text(note.Text, "the note");
                break;
            case SayOnScreen say:
                faults.Need(say.Text is not null, "The message is missing; an empty one takes it away.");
                faults.Need((say.Text?.Length ?? 0) <= LongestLine, $"The message is longer than {LongestLine} characters.");
                break;
            case RecordReview review:
                Review(review, faults);
                break;
            case RecordHandoff handoff:
                faults.Text(handoff.KeyMessage, "the key message");
                faults.Text(handoff.NextStep, "the next step");
                if (handoff.Owner is { } owner)
                {
                    faults.Line(owner.Name, "the name of who owns the next step");
                }

                faults.Need(handoff.SharedWith is null || !string.IsNullOrWhiteSpace(handoff.SharedWith), "Who outside the clinic gets this is empty.");
                faults.OptionalText(handoff.SharedWith, "who outside the clinic gets this");
                break;
            case Abort abort:
                faults.Text(abort.Reason, "the reason");
                break;
            case ConvertSession convert:
                faults.Known(convert.Target, "target");
                faults.Text(convert.Reason, "the reason");
                break;
        }
    }

    private static void PlanChange(PlanOverride? change, Faults faults)
    {
        faults.Need(change is not null, "The change is empty.");
        var (part, hertz) = change switch
        {
            PlanOverride.SkipPart skip => (skip.Part, 1000),
            PlanOverride.SkipFrequency skip => (skip.Part, skip.FrequencyHz),
            PlanOverride.AddFrequency add => (add.Part, add.FrequencyHz),
            PlanOverride.Repeat repeat => (repeat.Part, repeat.FrequencyHz),
            PlanOverride.TakeUp taken => (taken.Part, taken.FrequencyHz ?? 1000),
            PlanOverride.BeginAgain again => (new PlanPart(again.Ear, again.Route, Masked: false), 1000),
            _ => (null, 1000),
        };
        faults.Need(part is not null && Enum.IsDefined(part.Ear) && Enum.IsDefined(part.Route), "The change names no part of the audiogram.");
        faults.Need(AudiometricFrequency.TryFromHertz(hertz, out _), $"{hertz} Hz is not an audiometric frequency.");
    }

    private static void EarLook(RecordEarLook look, Faults faults)
    {
        faults.Known(look.Ear, "ear");
        faults.Known(look.Finding, "finding");
        faults.Known(look.Picture, "use of pictures");
        var plain = look.Finding is EarFinding.Clear or EarFinding.SomeWax;
        if (plain && look.SafeToCover)
        {
            faults.OptionalText(look.Reason, "the reason");
        }
        else
        {
            faults.Text(look.Reason, look.SafeToCover ? "the reason for covering an ear with this finding" : "the reason for not covering the ear");
        }
    }

    private static void Review(RecordReview review, Faults faults)
    {
        faults.Text(review.Reliability, "the word on reliability");
        faults.Text(review.Summary, "the summary");
        var answers = review.Warnings?.Where(answer => answer is not null).ToList() ?? [];
        foreach (var sign in WarningSigns.All)
        {
            var count = answers.Count(answer => answer.Sign == sign.Code);
            faults.Need(count >= 1, $"The warning sign \"{sign.Code}\" is not answered.");
            faults.Need(count <= 1, $"The warning sign \"{sign.Code}\" is answered {count} times.");
        }

        foreach (var answer in answers)
        {
            faults.Known(answer.Action, "action");
            faults.Need(WarningSigns.All.Any(sign => sign.Code == answer.Sign), "A warning sign is answered that is not asked.");
        }
    }
}
