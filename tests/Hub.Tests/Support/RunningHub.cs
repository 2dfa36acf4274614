using System.Net;
using System.Net.Http.Json;
using System.Security.Claims;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Identity;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Options;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A whole hub on a real socket with a data folder of its own.</summary>
internal sealed class RunningHub : IAsyncDisposable
{
    private readonly TempFolder _folder;
    private readonly bool _ownsFolder;

    private RunningHub(WebApplication app, TempFolder folder, bool ownsFolder)
    {
        App = app;
        _folder = folder;
        _ownsFolder = ownsFolder;
    }

    public WebApplication App { get; }

    public string DataFolder => _folder.Path;

    public Uri Address => new(App.Urls.Single());

    public static async Task<RunningHub> Start(TempFolder? folder = null, Action<IServiceCollection>? configure = null, Func<HubSettings, HubSettings>? change = null)
    {
        var own = folder ?? new TempFolder();
        var settings = new HubSettings { DataFolder = own.Path, Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false };
        var app = HubHost.Build(change is null ? settings : change(settings), configure);
        await app.StartAsync(TestContext.Current.CancellationToken);
        return new RunningHub(app, own, folder is null);
    }

    public T Get<T>()
        where T : notnull => App.Services.GetRequiredService<T>();

    public Task<string> Person(string name, params string[] roles) => Get<PeopleAdmin>().Enter(name, roles, TestContext.Current.CancellationToken);

    /// <summary>Appends events as if they had happened, for what a test begins from.</summary>
    public async Task Happened(SessionId session, params SessionEvent[] events)
    {
        var loaded = await Get<SessionStore>().Load(session, TestContext.Current.CancellationToken);
        var outcome = await Get<SessionStore>().Append(
            new AppendBatch([new SessionAppend(loaded!, events)], null, null, after => Get<CommitFollower>().Follow(after, [])),
            TestContext.Current.CancellationToken);
        Assert.Equal(AppendOutcome.Appended, outcome);
    }

    /// <summary>Signs a person in the way a browser does, and connects their console.</summary>
    public async Task<TestConsole> Console(string personId) => await Console(await SignIn(personId));

    /// <summary>Connects a console of a browser that is signed in.</summary>
    public async Task<TestConsole> Console(CookieContainer cookies)
    {
        var connection = new HubConnectionBuilder()
            .WithUrl(new Uri(Address, Protocol.ConsoleHubPath), options => options.Cookies = cookies)
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions))
            .Build();
        return await TestConsole.Connect(connection);
    }

    /// <summary>Id of a browser's sign-in, out of its cookie, which the hub alone can read.</summary>
    public string SignInIdOf(CookieContainer cookies) => Get<IOptionsMonitor<CookieAuthenticationOptions>>().Get(IdentityConstants.ApplicationScheme).TicketDataFormat
        .Unprotect(cookies.GetCookies(Address)["telehearing"]!.Value)!.Principal.FindFirstValue(SignInCookie.SignInClaim)!;

    /// <summary>Uses a sign-in link.</summary>
    public async Task<CookieContainer> SignIn(string personId)
    {
        var cookies = new CookieContainer();
        using var client = new HttpClient(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false }) { BaseAddress = Address };
        var link = await Get<SignInLinks>().Issue(personId, TestContext.Current.CancellationToken);
        var answer = await client.Send(link);
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        return cookies;
    }

    /// <summary>Enters a kit and enrols it over HTTP.</summary>
    public async Task<TestKit> Kit(string id = "kit-01")
    {
        var token = TestContext.Current.CancellationToken;
        var kitId = new KitId(id);
        await Get<KitFleet>().Enter(kitId, "loan kit", "shelf", token);
        var code = await Get<KitFleet>().IssueEnrolmentCode(kitId, token);
        var kit = new TestKit(kitId, Address);
        using var client = new HttpClient { BaseAddress = Address };
        var answer = await client.PostAsJsonAsync(Protocol.EnrolPath, new EnrolRequest(code, kit.PublicKeyPem, Protocol.Version), Protocol.Json, token);
        var reply = await answer.Content.ReadFromJsonAsync<EnrolReply>(Protocol.Json, token);
        Assert.Equal(kitId, reply!.KitId);
        kit.Trust(reply.HubKeyPem!);
        return kit;
    }

    public Task<SessionId> Session(string clinicianId, string kitId = "kit-01", string reference = "P-0001") => Get<SessionSchedule>().Plan(
        new SessionPlan(new PersonTested(reference, "Ottilie Brandvold", new DateOnly(1951, 3, 4), "Trouble following talk in company"), "at home, kit posted", new DateTimeOffset(2026, 3, 2, 10, 0, 0, TimeSpan.Zero), new KitId(kitId), clinicianId),
        TestContext.Current.CancellationToken);

    public async ValueTask DisposeAsync()
    {
        await App.StopAsync(CancellationToken.None);
        await App.DisposeAsync();
        if (_ownsFolder)
        {
            _folder.Dispose();
        }
    }
}
