using System.Collections.Concurrent;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.SignalR;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Hosting;

/// <summary>What let a socket in is not kept for as long as the socket lives.</summary>
public sealed class SpentProofsTests
{
    [Theory]
    [InlineData("console")]
    [InlineData("kit")]
    public async Task NeitherCookieNorTokenNorProofStaysWithAConnection(string who)
    {
        var calls = new Calls();
        await using var hub = await RunningHub.Start(configure: services => services.Configure<HubOptions>(options => options.AddFilter(calls)));
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        await using var console = await hub.Console(clinician);
        if (who == "kit")
        {
            await kit.Connect();
        }
        else
        {
            await console.WatchBoard();
        }

        Assert.NotEmpty(calls.Requests);
        Assert.All(calls.Requests, request =>
        {
            // Known all the same: it was asked before.
            Assert.True(request.HttpContext.User.Identity?.IsAuthenticated);
            Assert.True(request.Headers.ContainsKey("Sec-WebSocket-Key"));
            Assert.All(["Cookie", "Authorization", Protocol.ProofScheme], header => Assert.DoesNotContain(header, request.Headers.Keys, StringComparer.OrdinalIgnoreCase));
            Assert.Empty(request.Cookies);
        });
    }

    private sealed class Calls : IHubFilter
    {
        public ConcurrentBag<HttpRequest> Requests { get; } = [];

        public ValueTask<object?> InvokeMethodAsync(HubInvocationContext invocationContext, Func<HubInvocationContext, ValueTask<object?>> next)
        {
            Requests.Add(invocationContext.Context.GetHttpContext()!.Request);
            return next(invocationContext);
        }
    }
}
