using System.Net;
using MediatR;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity;

/// <summary>Nothing is open that was not opened on purpose.</summary>
public sealed class AuthorisationTests
{
    [Fact]
    public async Task EveryRequestIsAuthorisedAndHasItsHandler()
    {
        await using var hub = await RunningHub.Start();
        var requests = typeof(HubHost).Assembly.GetTypes()
            .Where(type => !type.IsAbstract)
            .SelectMany(type => type.GetInterfaces().Where(face => face.IsGenericType && face.GetGenericTypeDefinition() == typeof(IRequest<>)).Select(face => (Type: type, Answer: face.GetGenericArguments()[0])))
            .ToList();

        Assert.True(requests.Count >= 7);
        await using var scope = hub.App.Services.CreateAsyncScope();
        foreach (var (type, answer) in requests)
        {
            Assert.True(typeof(IHubRequest<>).MakeGenericType(answer).IsAssignableFrom(type), $"{type.Name} passes the pipeline without saying who asks.");
            Assert.NotNull(scope.ServiceProvider.GetService(typeof(IRequestHandler<,>).MakeGenericType(type, answer)));
            var behaviours = scope.ServiceProvider.GetServices(typeof(IPipelineBehavior<,>).MakeGenericType(type, answer)).Select(behaviour => behaviour!.GetType().Name.Split('`')[0]).ToList();
            Assert.Equal(["TraceBehaviour", "AuditBehaviour", "AuthoriseBehaviour"], behaviours.Take(3));
            Assert.Equal(typeof(IValidated).IsAssignableFrom(type), behaviours.Contains("ValidateBehaviour"));
        }
    }

    [Theory]
    [InlineData("GET", "/api/me")]
    [InlineData("GET", "/api/board")]
    [InlineData("GET", "/api/sessions/0196f3a0-0000-7000-8000-000000000000/record")]
    [InlineData("GET", "/api/sessions/0196f3a0-0000-7000-8000-000000000000/events")]
    [InlineData("POST", "/api/kits/kit-01/revoke")]
    [InlineData("POST", "/sign-out")]
    [InlineData("POST", "/hubs/console/negotiate?negotiateVersion=1")]
    [InlineData("POST", "/hubs/kit/negotiate?negotiateVersion=1")]
    public async Task AStrangerIsAnsweredWithoutAFormOrARedirect(string method, string path)
    {
        await using var hub = await RunningHub.Start();
        using var client = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false }) { BaseAddress = hub.Address };

        var answer = await client.SendAsync(new HttpRequestMessage(new HttpMethod(method), path), TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.Unauthorized, answer.StatusCode);
    }

    [Fact]
    public async Task RolesOpenWhatTheyShouldAndNothingElse()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        var pella = await hub.Person("Pella Nyström", Roles.Coordinator);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);

        Assert.Equal(HttpStatusCode.OK, await Get(hub, maren, $"/api/sessions/{session}/record?to=clinic"));
        Assert.Equal(HttpStatusCode.Forbidden, await Get(hub, pella, $"/api/sessions/{session}/record?to=clinic"));
        Assert.Equal(HttpStatusCode.Forbidden, await Get(hub, maren, "/api/kits/kit-01/revoke", post: true));
        Assert.Equal(HttpStatusCode.NotFound, await Get(hub, pella, "/api/kits/kit-77/revoke", post: true));

        // A kit's key opens the kits' door only, a person's cookie the consoles' only.
        using var asKit = kit.Http();
        Assert.Equal(HttpStatusCode.Forbidden, (await asKit.PostAsync("/hubs/console/negotiate?negotiateVersion=1", null, TestContext.Current.CancellationToken)).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await asKit.GetAsync("/api/board", TestContext.Current.CancellationToken)).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, await Get(hub, maren, "/hubs/kit/negotiate?negotiateVersion=1", post: true));
    }

    [Theory]
    [InlineData("https://elsewhere.example", HttpStatusCode.Forbidden)]
    [InlineData("null", HttpStatusCode.Forbidden)]
    [InlineData(null, HttpStatusCode.SwitchingProtocols)]
    public async Task AnotherSitesPageOpensNoSocketWithAPersonsCookie(string? origin, HttpStatusCode expected)
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        using var socket = new System.Net.WebSockets.ClientWebSocket();
        socket.Options.CollectHttpResponseDetails = true;
        socket.Options.Cookies = await hub.SignIn(maren);
        socket.Options.SetRequestHeader("Origin", origin ?? hub.Address.GetLeftPart(UriPartial.Authority));
        var address = new UriBuilder(new Uri(hub.Address, Protocol.ConsoleHubPath)) { Scheme = "ws" }.Uri;

        await Record.ExceptionAsync(() => socket.ConnectAsync(address, TestContext.Current.CancellationToken));

        Assert.Equal(expected, socket.HttpStatusCode);
    }

    private static async Task<HttpStatusCode> Get(RunningHub hub, string person, string path, bool post = false)
    {
        using var client = new HttpClient(new HttpClientHandler { CookieContainer = await hub.SignIn(person), AllowAutoRedirect = false }) { BaseAddress = hub.Address };
        var answer = post ? await client.PostAsync(path, null, TestContext.Current.CancellationToken) : await client.GetAsync(path, TestContext.Current.CancellationToken);
        return answer.StatusCode;
    }
}
