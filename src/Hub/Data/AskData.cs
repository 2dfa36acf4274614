using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.Data;

/// <summary>Back up, export a person, erase a person, or read what was erased: for the owner.</summary>
internal sealed record AskData(DataEnvelope Envelope, Caller Caller) : IHubRequest<DataReply>, IValidated
{
    // A console may send nothing at all.
    public DataAsk? Ask => Envelope?.Ask;

    public int? ProtocolVersion => Envelope?.ProtocolVersion;

    // The person's reference is theirs; which sessions were meant stands in an entry of its own once they are found.
    public string Door => Ask is { } ask ? Rights.Door.Command(ask.GetType()) : Rights.Door.Request<AskData>();

    public IReadOnlyList<string> Faults() => Ask switch
    {
        BackUp { Passphrase: null or { Length: < BackupSecret.ShortestPassphrase or > 1000 } } => [$"A passphrase of {BackupSecret.ShortestPassphrase} to 1000 characters is needed: whoever finds the backup can try as long as they like."],
        ExportPerson { Reference: var reference } when !IsReference(reference) => ["The person's reference is missing or too long."],
        ErasePerson { Reference: var reference } when !IsReference(reference) => ["The person's reference is missing or too long."],
        ErasePerson { Reason: null or { Length: 0 or > PersonErasure.LongestReason } } => [$"Say in 1 to {PersonErasure.LongestReason} characters why."],
        ErasePerson { KeepYears: < 0 or > Keeping.MostYears } => [$"The years to keep records must be from 0 to {Keeping.MostYears}."],
        null => ["What to do is missing."],
        _ => [],
    };

    public DataReply Refused(Refusal refusal) => new(null, null, null, refusal);

    public string Trace() => Ask is null ? "data" : "data " + Ask.GetType().Name;

    private static bool IsReference(string? reference) => reference is { Length: > 0 and <= 200 };
}

internal sealed class AskDataHandler(PersonErasure erasure, PersonExport export, DataTickets tickets, HubSettings settings, AuditTrail trail) : IRequestHandler<AskData, DataReply>
{
    public async Task<DataReply> Handle(AskData request, CancellationToken cancellationToken)
    {
        var by = ((PersonCaller)request.Caller).Id;
        try
        {
            switch (request.Ask)
            {
                case ErasePerson erase:
                    var account = await erasure.Erase(erase.Reference, erase.Reason, by, erase.KeepYears, cancellationToken);
                    await trail.Act(AuditActs.PersonErased, by, about: AboutSessions(account.Erased.Select(session => session.Value)));
                    return new DataReply(null, View(account), null, null);
                case ExportPerson wanted:
                    // Whether there is such a person is said now, not in the middle of a download; and nothing goes out before it is recorded whose it is.
                    await trail.Act(AuditActs.PersonExported, by, about: AboutSessions(await export.Sessions(wanted.Reference, cancellationToken)));
                    return new DataReply(await tickets.Make(by, wanted), null, null, null);
                case BackUp when settings.Database is not null:
                    throw DataFault.OnAServer();
                case BackUp:
                    return new DataReply(await tickets.Make(by, request.Ask!), null, null, null);
                default:
                    return new DataReply(null, null, [.. (await erasure.Journal(cancellationToken)).Select(entry => new ErasureEntry(entry.At, entry.Account.Reference, entry.Account.Reason, View(entry.Account)))], null);
            }
        }
        catch (DataFault fault)
        {
            return request.Refused(new Refusal(RefusalCodes.Invalid, fault.Message));
        }
    }

    /// <summary>Sessions as the audit tells them.</summary>
    internal static IReadOnlyList<string> AboutSessions(IEnumerable<Guid> sessions) => [.. sessions.Select(session => $"session {session}")];

    private static ErasureView View(ErasureAccount account) => new(account.Erased.Count, [.. account.Kept.Select(kept => new KeptView(kept.What, kept.Until, kept.Why))]);
}
