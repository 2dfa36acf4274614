using System.Net;
using System.Net.Http.Json;
using Bunit;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Clinician.Web.Lock;
using TeleHearing.Clinician.Web.State;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests.Lock;

/// <summary>What the hub wants confirmed is asked again once the person has proved that it is them.</summary>
public sealed class ConfirmDialogTests : ConsoleContext
{
    private static readonly Refusal _wanted = new(RefusalCodes.ConfirmationNeeded, "This asks for a fresh proof that it is you; nothing was done yet.");
    private static readonly KitId _kit = new("kit-01");
    private readonly LiftHold _lift = new(KitHoldKind.SafetyNotice, "looked at it");
    private bool _proven;

    public ConfirmDialogTests()
    {
        SignedIn = SignedIn! with { Ways = new ProofWays(Passkey: true, Password: true) };
        Link.KitAnswer = envelope => new Receipt(envelope.CommandId, _proven ? null : _wanted, 1, null);
        Http = request =>
        {
            if (request.RequestUri!.AbsolutePath != "/api/confirm")
            {
                return null;
            }

            _proven = true;
            return new HttpResponseMessage(HttpStatusCode.OK) { Content = JsonContent.Create(new ProofReply(null), options: Protocol.Json) };
        };
    }

    [Fact]
    public async Task AfterAProofTheSameIsAskedAgainUnderTheSameId()
    {
        await SignIn();
        var dialog = Render<ConfirmDialog>();
        var answer = Services.GetRequiredService<KitDesk>().Ask(_kit, "The hold is lifted.", _lift);
        dialog.WaitForAssertion(() => Assert.Contains("Prove that it is you", dialog.Find("dialog h2").TextContent, StringComparison.Ordinal));
        Assert.False(answer.IsCompleted);

        dialog.Find("input[type=password]").Input("correct horse");
        dialog.Find("input[autocomplete=one-time-code]").Input("123456");
        dialog.Find("form").Submit();

        Assert.True((await answer).Done);
        Assert.Equal(2, Link.AskedOfKits.Count);
        Assert.Single(Link.AskedOfKits.Select(envelope => envelope.CommandId).Distinct());
        dialog.WaitForAssertion(() => Assert.Empty(dialog.FindAll("dialog")));
    }

    [Fact]
    public async Task LeavingItLeavesTheActUndoneWithItsReason()
    {
        await SignIn();
        var dialog = Render<ConfirmDialog>();
        var answer = Services.GetRequiredService<KitDesk>().Ask(_kit, "The hold is lifted.", _lift);
        dialog.WaitForElement("dialog");

        dialog.FindAll("button").Single(button => button.TextContent == "Leave it").Click();

        Assert.Equal((false, _wanted.Sentence), ((await answer).Done, (await answer).Sentence));
        Assert.Single(Link.AskedOfKits);
    }

    [Fact]
    public async Task WhoHasNothingToProveItWithIsToldWhatToDo()
    {
        SignedIn = SignedIn! with { Ways = new ProofWays(false, false) };
        await SignIn();
        var dialog = Render<ConfirmDialog>();

        _ = Services.GetRequiredService<ConfirmDesk>().Prove();

        dialog.WaitForAssertion(() => Assert.Contains("a new link", dialog.Markup, StringComparison.Ordinal));
        Assert.Empty(dialog.FindAll("input"));
    }

    [Fact]
    public async Task ARequestOverHttpIsSentAgainAfterAProof()
    {
        var desk = new ConfirmDesk();
        var sent = new List<string>();
        var inner = new Answers(async request =>
        {
            sent.Add(await request.Content!.ReadAsStringAsync(Xunit.TestContext.Current.CancellationToken));
            return sent.Count == 1
                ? new HttpResponseMessage(HttpStatusCode.Forbidden) { Content = JsonContent.Create(_wanted, options: Protocol.Json) }
                : new HttpResponseMessage(HttpStatusCode.NoContent);
        });
        using var http = new HttpClient(new ConfirmingHandler(desk) { InnerHandler = inner }) { BaseAddress = new Uri("http://hub.test/") };
        desk.Changed += () =>
        {
            if (desk.Asking)
            {
                desk.Finish(proven: true);
            }
        };

        using var body = new StringContent("the same");
        var answer = await http.PostAsync(new Uri("api/kits/kit-01/revoke", UriKind.Relative), body, Xunit.TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.NoContent, answer.StatusCode);
        Assert.Equal(["the same", "the same"], sent);
    }

    private sealed class Answers(Func<HttpRequestMessage, Task<HttpResponseMessage>> answer) : HttpMessageHandler
    {
        protected override Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken) => answer(request);
    }
}
