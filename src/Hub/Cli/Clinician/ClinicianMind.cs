using TeleHearing.Audiology;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Cli.Clinician;

/// <summary>What the scripted clinician does next.</summary>
internal abstract record ClinicianIntent
{
    private ClinicianIntent()
    {
    }

    /// <summary>Ask the hub for something.</summary>
    public sealed record Do(SessionCommand Command) : ClinicianIntent;

    /// <summary>Nothing to do until the picture changes.</summary>
    public sealed record Wait(string For) : ClinicianIntent;

    /// <summary>The session is over.</summary>
    public sealed record Over(bool Closed, string Sentence) : ClinicianIntent;
}

/// <summary>Decides from the picture a console shows, and from nothing else, what to ask next: supplies what the gates need and moves on when they let it.</summary>
/// <remarks>Remembers only how often it has tried what may be tried a few times. Does no I/O.</remarks>
internal sealed class ClinicianMind(TestPlan plan, string clinicianId)
{
    private const int MostTries = 3;
    private const double RoomSeconds = 10;

    private readonly SearchAgenda _agenda = new(plan);
    private readonly SideProofLadder _ladder = new();
    private readonly HashSet<StepId> _failedKitChecks = [];

    /// <summary>The next move on the strength of this picture.</summary>
    public ClinicianIntent Decide(SessionView view) => view.Stage switch
    {
        SessionStage.Closed => new ClinicianIntent.Over(Closed: true, "The session is closed."),
        SessionStage.Aborted or SessionStage.Converted => new ClinicianIntent.Over(Closed: false, $"The session ended early: {view.StageReason}"),
        _ when !view.Integrity.Valid => new ClinicianIntent.Over(Closed: false, $"The session's log does not fit its hashes from event {view.Integrity.BrokenAtSequence} on."),
        _ when view.Control.HolderId is null => Ask(view, "take-control", new TakeControl()),
        _ when view.Control.HolderId != clinicianId => new ClinicianIntent.Wait($"control, which {view.Control.HolderName} holds"),
        SessionStage.LinkLost or SessionStage.Paused => Ask(view, "resume", new Resume(Note: null)),
        SessionStage.Stopped => Ask(view, "resume", new Resume("Asked at the site; all is well and the person wishes to go on.")),
        _ when view.Identity is { AgainBecause: not null } => Ask(view, "confirm-identity", ScriptedAnswers.Identity(view)),
        _ when view.Step is { Ending: null } => new ClinicianIntent.Wait("the step in hand"),
        SessionStage.Testing => Test(view),
        _ => PassGate(view),
    };

    private static ClinicianIntent Ask(SessionView view, string move, SessionCommand command)
    {
        var found = view.Moves.FirstOrDefault(candidate => candidate.Name == move);
        return found is { Allowed: true } ? new ClinicianIntent.Do(command) : new ClinicianIntent.Wait(found?.WhyNot ?? $"\"{move}\" to be offered");
    }

    private static ClinicianIntent Order(SessionView view, string move, StepRequest request, bool loudConfirmed = false) =>
        Ask(view, move, new OrderStep(request, loudConfirmed));

    private ClinicianIntent Test(SessionView view) =>
        _agenda.Next(view) is { } order ? Order(view, "search-ear", order.Request, order.LoudConfirmed) : Ask(view, "advance", new Advance());

    private ClinicianIntent PassGate(SessionView view)
    {
        if (view.Moves.Any(move => move is { Name: "advance", Allowed: true }))
        {
            return new ClinicianIntent.Do(new Advance());
        }

        foreach (var need in view.Needs.Where(need => !need.Met))
        {
            // What the person says reaches the record through the clinician.
            if (need.From is Supplier.Clinician or Supplier.PersonTested && Answer(view) is { } answer)
            {
                return answer;
            }

            if (need.From == Supplier.Kit && Measure(view) is { } step)
            {
                return step;
            }
        }

        var missing = view.Needs.FirstOrDefault(need => !need.Met);
        return new ClinicianIntent.Wait(missing is null ? "the gate to open" : $"{missing.From}: {missing.Text} ({missing.Detail})");
    }

    private ClinicianIntent? Answer(SessionView view) => view.Stage switch
    {
        SessionStage.Identity => Ask(view, "confirm-identity", ScriptedAnswers.Identity(view)),
        SessionStage.Consent => Ask(view, "answer-consent", ScriptedAnswers.Consent()),
        SessionStage.RoomNoise => Ask(view, "accept-room", ScriptedAnswers.Room()),
        SessionStage.EarLook => Ask(view, "record-ear-look", ScriptedAnswers.EarLook(EarNotSeen(view))),
        SessionStage.Review => Ask(view, "record-review", ScriptedAnswers.Review()),
        SessionStage.Handoff => Ask(view, "record-handoff", ScriptedAnswers.Handoff(new HandoffOwner(clinicianId, view.Control.HolderName ?? clinicianId))),
        _ => null,
    };

    private static Ear EarNotSeen(SessionView view) =>
        view.EarLooks.Any(look => look.Ear == Ear.Right) ? Ear.Left : Ear.Right;

    private ClinicianIntent? Measure(SessionView view) => view.Stage switch
    {
        SessionStage.KitCheck when KitCheckHopeless(view) => new ClinicianIntent.Over(Closed: false, $"The kit check does not pass: {Failing(view)}"),
        SessionStage.KitCheck => Order(view, "check-kit", new CheckKitStep()),
        SessionStage.RoomNoise => Order(view, "measure-room", new MeasureRoomStep(RoomSeconds)),
        SessionStage.SideProof when _ladder.Next(view) is { } proof => Order(view, "prove-sides", proof, proof.LevelDbHl > HearingLevels.LoudAboveDbHl),
        SessionStage.SideProof when view.SideProof?.OnlyAt is not null => Ask(view, "accept-sides", ScriptedAnswers.Sides()),
        SessionStage.SideProof => new ClinicianIntent.Over(Closed: false, "The sides could not be proved at any level: the earphones may be swapped, or the person cannot hear or name the side."),
        _ => null,
    };

    private bool KitCheckHopeless(SessionView view)
    {
        if (view.Step is { Request: CheckKitStep, Ending: not null and not StepEnding.Interrupted } step)
        {
            _failedKitChecks.Add(step.StepId);
        }

        return _failedKitChecks.Count >= MostTries;
    }

    private static string Failing(SessionView view) => view.KitCheck is { } check
        ? string.Join(" ", check.Lines.Where(line => !line.Passed).Select(line => $"{line.Label}: {line.Finding} {line.Mend}"))
        : view.Step?.Reason ?? "it was never completed";
}
