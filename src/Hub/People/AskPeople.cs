using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SetUp;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.People;

/// <summary>Do something about people.</summary>
internal sealed record AskPeopleCommand(PeopleRequest Request, Caller Caller) : IHubRequest<PeopleAnswer>, IValidated
{
    private static readonly string[] _known = [Roles.Owner, Roles.Clinician, Roles.Coordinator, Roles.Assistant];

    public int? ProtocolVersion => null;

    /// <summary>Account of whoever is invited: known before, so that the audit names it.</summary>
    public string NewPersonId { get; } = PeopleAdmin.NewId();

    public IReadOnlyList<string> About => Request?.Act switch
    {
        ChangeRoles act => [$"person {Short(act.PersonId)}", PeopleAdmin.InWords(act.Roles ?? [])],
        ClosePerson act => [$"person {Short(act.PersonId)}", "close"],
        EndSignIns act => [$"person {Short(act.PersonId)}", "end sign-ins"],
        RenewLink act => [$"person {Short(act.PersonId)}", "new link"],
        InvitePerson act => [$"person {NewPersonId}", "invite", PeopleAdmin.InWords(act.Roles ?? [])],
        _ => [],
    };

    public IReadOnlyList<string> Faults() => Request?.Act switch
    {
        null => ["What to do is missing."],
        InvitePerson act => [.. new[] { AccountSetUp.NameFault(act.Name ?? string.Empty), RolesFault(act.Roles) }.OfType<string>()],
        ChangeRoles act => [.. new[] { act.PersonId is null ? "Whom it is about is missing." : null, RolesFault(act.Roles) }.OfType<string>()],
        ClosePerson { PersonId: null } or EndSignIns { PersonId: null } or RenewLink { PersonId: null } => ["Whom it is about is missing."],
        _ => [],
    };

    public PeopleAnswer Refused(Refusal refusal) => new(null, null, refusal);

    public string Trace() => $"ask people {Request?.Act?.GetType().Name}";

    private static string? RolesFault(IReadOnlyList<string>? roles) =>
        roles is not { Count: > 0 } ? "Choose at least one role."
        : roles.Distinct().Count() == roles.Count && roles.All(_known.Contains) ? null
        : "There is no such role.";

    /// <summary>An id from outside, no longer than ids are.</summary>
    private static string Short(string? id) => id is { Length: <= 36 } && id.All(letter => char.IsAsciiLetterOrDigit(letter) || letter == '-') ? id : "unknown";
}

internal sealed class AskPeopleHandler(PeopleKeeping people) : IRequestHandler<AskPeopleCommand, PeopleAnswer>
{
    public Task<PeopleAnswer> Handle(AskPeopleCommand request, CancellationToken cancellationToken) => request.Request.Act switch
    {
        InvitePerson act => people.Invite(request.NewPersonId, act.Name.Trim(), act.Roles, cancellationToken),
        ChangeRoles act => people.ChangeRoles(act.PersonId, act.Roles, Self(request), cancellationToken),
        ClosePerson act => people.Close(act.PersonId, Self(request), cancellationToken),
        EndSignIns act => people.EndSignIns(act.PersonId, Self(request)),
        RenewLink act => people.Renew(act.PersonId, Self(request), cancellationToken),
        var other => throw new InvalidOperationException($"{other.GetType().Name} is no act about people."),
    };

    private static string Self(AskPeopleCommand request) => ((PersonCaller)request.Caller).Id;
}
