using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Sessions.Decisions;

namespace TeleHearing.Hub.Sessions.Control;

/// <summary>Who control can be handed or lent to, and who may own a next step.</summary>
internal sealed record ReadColleagues(Caller Caller) : IHubRequest<ColleaguesReply>
{
    public ColleaguesReply Refused(Refusal refusal) => new([], refusal);

    public string Trace() => "read colleagues";
}

internal sealed class ReadColleaguesHandler : IRequestHandler<ReadColleagues, ColleaguesReply>
{
    private readonly Colleagues _colleagues;
    private readonly FleetFacts _facts;

    public ReadColleaguesHandler(Colleagues colleagues, FleetFacts facts) => (_colleagues, _facts) = (colleagues, facts);

    public async Task<ColleaguesReply> Handle(ReadColleagues request, CancellationToken cancellationToken)
    {
        var facts = await _facts.Load(cancellationToken);
        var today = _facts.Today(facts.State);
        return new ColleaguesReply([.. (await _colleagues.All(cancellationToken)).Select(View)], null);

        // What a session's own gear asks for besides is looked at when it is lent.
        ColleagueView View(NamedPerson person) => new(
            person.Id,
            person.Name,
            person.Roles.Contains(Roles.Clinician),
            person.Roles.Any(role => role is Roles.Clinician or Roles.Owner),
            person.Roles.Contains(Roles.Assistant) ? [.. AssistantTasks.Lendable.Where(task => SignOffs.Holds(facts.State.Practice, person.Id, task, today).Holds)] : []);
    }
}
