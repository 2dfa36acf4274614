using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits;

/// <summary>Answer of <see cref="PassSignal"/>.</summary>
internal sealed record SignalPassed(bool Passed);

/// <summary>A live signal of a kit, for those who watch its session. Kept nowhere.</summary>
internal sealed record PassSignal(LiveSignal Signal, Caller Caller) : IHubRequest<SignalPassed>
{
    public Refusal? MayAsk() => Rights.KitOnly(Caller);

    public SignalPassed Refused(Refusal refusal) => new(false);

    public string Trace() => "live signal";
}

internal sealed class PassSignalHandler : IRequestHandler<PassSignal, SignalPassed>
{
    private readonly KitLinks _links;
    private readonly Broadcaster _broadcaster;

    public PassSignalHandler(KitLinks links, Broadcaster broadcaster)
    {
        _links = links;
        _broadcaster = broadcaster;
    }

    public Task<SignalPassed> Handle(PassSignal request, CancellationToken cancellationToken)
    {
        // A kit speaks of the session it is in and of no other.
        var own = request.Signal is not null && _links.SessionOf(((KitCaller)request.Caller).KitId) == request.Signal.SessionId;
        if (own)
        {
            _broadcaster.Pass(request.Signal!);
        }

        return Task.FromResult(new SignalPassed(own));
    }
}
