using MediatR;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Kits.Wipes;
using TeleHearing.Links;

namespace TeleHearing.Hub.Kits;

/// <summary>The kits' end of the link: one line a method, no decision.</summary>
internal sealed class KitHub(IMediator mediator) : Hub<IKitClient>, IKitHub
{
    public Task<KitChallenge> Challenge(string nonce) => mediator.Send(new ChallengeKit(nonce, Caller(), Context.ConnectionId), CancellationToken.None);

    public Task<KitWelcome> Hello(KitHello hello) => mediator.Send(new GreetKit(hello, Caller(), Context.ConnectionId, Context.Abort) { Heard = Context.Features.Get<LinkHeard>() }, CancellationToken.None);

    // Not cancelled by a broken connection: what is durable is acknowledged at the next greeting.
    public Task<ReportAck> Report(SignedReports batch) =>
        mediator.Send(new RecordKitReports(batch, Caller(), Context.ConnectionId), CancellationToken.None);

    // Not cancelled by a broken connection either: what the kit has wiped is wiped.
    public Task<WipeReply> Wiped(SignedWipe wipe) => mediator.Send(new RecordWipe(wipe, Caller(), Context.ConnectionId), CancellationToken.None);

    public Task Signal(LiveSignal signal) => mediator.Send(new PassSignal(signal, Caller()), Context.ConnectionAborted);

    public override async Task OnDisconnectedAsync(Exception? exception)
    {
        await mediator.Send(new LoseKit(Caller(), Context.ConnectionId), CancellationToken.None);
        await base.OnDisconnectedAsync(exception);
    }

    private KitCaller Caller() => KitCaller.From(Context.User!);
}
