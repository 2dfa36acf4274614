using MediatR;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Practice;

/// <summary>Read tiers, sign-offs and registrations.</summary>
internal sealed record ReadPractice(Caller Caller) : IHubRequest<PracticeReply>
{
    public int? ProtocolVersion => null;

    public PracticeReply Refused(Refusal refusal) => new(null, refusal);

    public string Trace() => "read practice";
}

internal sealed class ReadPracticeHandler : IRequestHandler<ReadPractice, PracticeReply>
{
    private readonly FleetFacts _facts;
    private readonly IDbContextFactory<HubContext> _contexts;

    public ReadPracticeHandler(FleetFacts facts, IDbContextFactory<HubContext> contexts) => (_facts, _contexts) = (facts, contexts);

    public async Task<PracticeReply> Handle(ReadPractice request, CancellationToken cancellationToken)
    {
        var loaded = await _facts.Load(cancellationToken);
        var people = await PracticePeople.Read(_contexts, cancellationToken);
        return new PracticeReply(PracticeViewBuilder.Build(loaded.State.Practice, people, _facts.Today(loaded.State), loaded.Integrity), null);
    }
}
