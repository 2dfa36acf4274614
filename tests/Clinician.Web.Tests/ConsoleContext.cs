using System.Net;
using System.Net.Http.Json;
using Bunit;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.State;
using TeleHearing.Clinician.Web.Workbench;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>The console as it runs, with the hub in the hand of the test.</summary>
public abstract class ConsoleContext : BunitContext
{
    private protected ConsoleContext()
    {
        JSInterop.Mode = JSRuntimeMode.Loose;
        var module = JSInterop.SetupModule("./js/console.js");
        module.Mode = JSRuntimeMode.Loose;
        module.SetupModule(invocation => invocation.Identifier == "listenForKeys").Mode = JSRuntimeMode.Loose;
        Services.AddSingleton(new HttpClient(new MeHandler(this)) { BaseAddress = new Uri("http://hub.test/") });
        Services.AddSingleton<IConsoleLink>(Link);
        Services.AddConsoleState();
        Services.AddSingleton<TimeProvider>(Time);
    }

    private protected FakeLink Link { get; } = new();

    private protected FakeTimeProvider Time { get; } = new(SampleViews.HubTime);

    /// <summary>Who is signed in; null for nobody.</summary>
    private protected Me? SignedIn { get; set; } = new("p-1", "Maren Toft", [Roles.Clinician]);

    /// <summary>What the hub answers over HTTP; null for a request answers who is signed in.</summary>
    private protected Func<HttpRequestMessage, HttpResponseMessage?> Http { get; set; } = _ => null;

    private protected CommandDesk Desk => Services.GetRequiredService<CommandDesk>();

    private protected async Task SignIn() => await Services.GetRequiredService<Account>().Ask(Xunit.TestContext.Current.CancellationToken);

    /// <summary>Opens the workbench with a picture.</summary>
    private protected async Task<IRenderedComponent<WorkbenchPage>> Open(SessionView view)
    {
        await SignIn();
        Link.Reply = new WatchReply(view, null);
        return Render<WorkbenchPage>(parameters => parameters.Add(page => page.Id, view.SessionId.Value));
    }

    /// <summary>Presses keys one after another, as anywhere on the page.</summary>
    private protected static async Task Press(IRenderedComponent<WorkbenchPage> page, params string[] keys)
    {
        foreach (var key in keys)
        {
            await page.InvokeAsync(() => page.Instance.KeyPressed(key, typing: false, onControl: false, modified: false, repeated: false));
        }
    }

    private sealed class MeHandler(ConsoleContext context) : HttpMessageHandler
    {
        protected override Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken) =>
            Task.FromResult(context.Http(request) is { } answer ? answer : context.SignedIn is { } me
                ? new HttpResponseMessage(HttpStatusCode.OK) { Content = JsonContent.Create(me, options: Protocol.Json) }
                : new HttpResponseMessage(HttpStatusCode.Unauthorized));
    }
}
