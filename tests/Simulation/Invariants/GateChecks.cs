using TeleHearing.Audiology;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Simulation.Invariants;

/// <summary>No gate was skipped: a fold of its own of what the record holds at each stage that is left, by docs/states/session.md and docs/guides/session-start.md.</summary>
internal static class GateChecks
{
    private static readonly SessionStage[] _line =
    [
        SessionStage.Scheduled, SessionStage.Connecting, SessionStage.Identity, SessionStage.Consent, SessionStage.KitCheck, SessionStage.RoomNoise,
        SessionStage.EarLook, SessionStage.SideProof, SessionStage.Testing, SessionStage.Review, SessionStage.Handoff, SessionStage.Closed,
    ];

    public static void Look(Record record, Action<string, string> object_)
    {
        var (card, checkedKit, room, sides, review, handoff, threshold) = (false, false, false, false, false, false, false);
        var consent = new Dictionary<ConsentPurpose, bool>();
        var ears = new HashSet<Ear>();
        var cards = new HashSet<SessionStage>();
        bool Consented() => consent.GetValueOrDefault(ConsentPurpose.Care) && consent.GetValueOrDefault(ConsentPurpose.RemoteMode);
        void Gap(bool repeat, bool? cardAgain)
        {
            (room, sides, card) = (room && !repeat, sides && !repeat, card && cardAgain != true);
        }

        foreach (var recorded in record.Events)
        {
            switch (recorded.Event)
            {
                case StartCardConfirmed:
                    card = true;
                    break;
                case ConsentAnswered e:
                    consent[e.Purpose] = e.Given;
                    break;
                case ConsentTakenBack e:
                    foreach (var purpose in e.Purposes)
                    {
                        consent[purpose] = false;
                    }

                    break;
                case EarLookedAt e:
                    ears.Add(e.Look.Ear);
                    break;
                case CardMarkedDone e:
                    cards.Add(e.Stage);
                    break;
                case StepOver { Ending: StepEnding.Completed, Result: KitCheckResult { Passed: true } }:
                    checkedKit = true;
                    break;
                case RoomAccepted:
                    room = true;
                    break;
                case StepOver { Ending: StepEnding.Completed, Result: SideProofResult result }:
                    sides = result.Passed;
                    break;
                case SidesAccepted:
                    sides = true;
                    break;
                case ThresholdMeasured:
                    threshold = true;
                    break;
                case ReviewRecorded:
                    review = true;
                    break;
                case HandoffRecorded:
                    handoff = true;
                    break;
                case SessionResumed e:
                    Gap(e.Repeat, e.CardAgain);
                    break;
                case LinkWasRestored e:
                    Gap(e.Repeat, e.CardAgain);
                    break;
                case StepOrdered { Order.Request: { MakesSound: true } request } when !Consented():
                    object_("no gate skipped", $"event {recorded.Sequence} orders sound, {request.GetType().Name}, without consent");
                    break;
                case StepOrdered { Order.Request: SearchEarStep or SearchThresholdStep } when !(room && sides && checkedKit && ears.Count == 2):
                    object_("no gate skipped", $"event {recorded.Sequence} orders a search before kit, room, ears and sides were known");
                    break;
                case StageAdvanced e:
                    if (Array.IndexOf(_line, e.To) != Array.IndexOf(_line, e.From) + 1)
                    {
                        object_("no gate skipped", $"event {recorded.Sequence} goes from {e.From} to {e.To}");
                    }

                    var missing = e.From switch
                    {
                        SessionStage.Identity => !card,
                        SessionStage.Consent => !Consented(),
                        SessionStage.KitCheck => !(checkedKit && cards.Contains(SessionStage.KitCheck)),
                        SessionStage.RoomNoise => !room,
                        SessionStage.EarLook => ears.Count < 2,
                        SessionStage.SideProof => !sides,
                        SessionStage.Testing => !threshold,
                        SessionStage.Review => !review,
                        SessionStage.Handoff => !(handoff && cards.Contains(SessionStage.Handoff)),
                        _ => false,
                    };
                    if (missing)
                    {
                        object_("no gate skipped", $"event {recorded.Sequence} leaves {e.From} without what it needs");
                    }

                    break;
            }
        }
    }
}
