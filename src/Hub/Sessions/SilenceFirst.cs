using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>Silence when the record cannot be asked, believed or written: the kit is told all the same, from memory alone, and its step gets no lease any more. Any thread.</summary>
internal sealed partial class SilenceFirst(SessionStore store, KitLinks links, ControlLeases leases, Broadcaster broadcaster, LivePeople live, ILogger<SilenceFirst> log)
{
    private const string Remedy = "Ask the owner to look at the hub's disk, and write down yourself what you did. If sound must end and is still heard, ask anyone at the site to press Stop: it works without the hub.";

    /// <summary>Whether somebody may silence a session as far as memory can say. Their right to the command was looked at before. They command the session, lent a task of it or watch it; or the command asks for no control; or nobody is remembered to command it. Silence does no harm, so doubt is for it.</summary>
    public bool May(CommandEnvelope envelope, PersonCaller caller) => Silencing.Silences(envelope.Command)
        && (envelope.Command is WithdrawConsent or TakeOverControl
            || !leases.IsCommanded(envelope.SessionId)
            || leases.Of(caller.Id).Contains(envelope.SessionId)
            || live.ByConnection.Any(console => console.Value.PersonId == caller.Id && broadcaster.Watches(console.Key, envelope.SessionId)));

    /// <summary>Ends what sounds in a session, whatever step that is: without the record nobody can say more.</summary>
    /// <returns>Whether a kit was told.</returns>
    public bool Tell(SessionId sessionId) =>
        links.Hush(sessionId) || (store.Remembered(sessionId) is { State: var state } && links.CutElsewhere(state.KitId, Silence.Of(state)));

    /// <summary>Ends what sounds, and says so to whoever asked. The log keeps who that was, since the record does not.</summary>
    /// <param name="envelope">A command that silences.</param>
    /// <param name="caller">Who asks, and may.</param>
    /// <param name="fault">What kept it from being recorded.</param>
    /// <param name="toldBefore">Whether the kit was told already.</param>
    public UnrecordedSilence Unrecorded(CommandEnvelope envelope, PersonCaller caller, Exception fault, bool toldBefore)
    {
        var told = Tell(envelope.SessionId) || toldBefore;
        Log.Unrecorded(log, fault, caller.Id, envelope.Command.GetType().Name, envelope.CommandId, envelope.SessionId, told);
        return new UnrecordedSilence(
            told
                ? new Refusal(RefusalCodes.StorageFault, "The kit was told to be silent, but this could not be written down, so the record does not show who asked.", Remedy)
                : new Refusal(RefusalCodes.StorageFault, "This could not be written down, and the session's kit is not linked to this hub, so it could not be told to be silent. A kit without its link is silent after a second.", Remedy),
            fault);
    }

    /// <summary>A refusal of a command whose silence has reached the kit already.</summary>
    public static Refusal AfterSilence(Refusal refusal) => refusal with { Sentence = refusal.Sentence + " The kit was told to be silent all the same." };

    private static partial class Log
    {
        [LoggerMessage(EventId = 3103, Level = LogLevel.Error, Message = "Person {Person} asked for silence by {Command} {CommandId} of session {SessionId}, which could not be recorded. Kit told: {Told}")]
        public static partial void Unrecorded(ILogger logger, Exception fault, string person, string command, CommandId commandId, SessionId sessionId, bool told);
    }
}
