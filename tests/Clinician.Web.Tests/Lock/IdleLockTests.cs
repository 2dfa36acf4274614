using System.Net;
using System.Net.Http.Json;
using Bunit;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Clinician.Web.Layout;
using TeleHearing.Clinician.Web.Lock;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests.Lock;

/// <summary>A console that is left covers itself, says so before, and still asks for silence.</summary>
public sealed class IdleLockTests : ConsoleContext
{
    private readonly List<(string Path, string Body)> _posts = [];
    private LockView _lock = new(false, 600, false, 0);
    private Refusal? _proofRefusal;

    public IdleLockTests()
    {
        SignedIn = SignedIn! with { Lock = _lock, Ways = new ProofWays(Passkey: false, Password: true) };
        Http = request =>
        {
            var path = request.RequestUri!.AbsolutePath;
            if (request.Method != HttpMethod.Post)
            {
                return null;
            }

            var body = request.Content!.ReadAsStringAsync(Xunit.TestContext.Current.CancellationToken).GetAwaiter().GetResult();
            _posts.Add((path, body));
            return path switch
            {
                "/api/lock" => Json(body.Contains("\"left\":true", StringComparison.Ordinal) ? Set(_lock with { Locked = _lock.IdleForSeconds == 0 }) : _lock),
                "/api/confirm" => Json(new ProofReply(_proofRefusal)),
                "/api/silence" => Json(new SilenceReply(null)),
                _ => null,
            };
        };
    }

    [Fact]
    public void ItWarnsAMinuteBeforeAndAKeyIsEnough()
    {
        var layout = Open();

        Time.Advance(TimeSpan.FromMinutes(9) - TimeSpan.FromSeconds(2));
        Assert.Empty(layout.FindAll(".idle"));
        Pass(layout, TimeSpan.FromSeconds(3), () => Assert.Contains("Is somebody there?", layout.Find("[role=alert] .idle").TextContent, StringComparison.Ordinal));

        layout.FindComponent<IdleWarning>().Instance.SomebodyIsThere();

        layout.WaitForAssertion(() => Assert.Empty(layout.FindAll(".idle")));
        Time.Advance(TimeSpan.FromMinutes(8));
        Assert.DoesNotContain("This console is covered", layout.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public void AfterTheTimeNothingOfThePageIsLeftAndTheHubKnows()
    {
        var layout = Open();

        Leave(layout);

        Assert.DoesNotContain("Ottilie Brandvold", layout.Markup, StringComparison.Ordinal);
        Assert.DoesNotContain("Maren Toft", layout.Markup, StringComparison.Ordinal);
        Assert.Contains(_posts, post => post.Path == "/api/lock" && post.Body.Contains("\"left\":true", StringComparison.Ordinal));
    }

    [Fact]
    public void AReloadShowsTheCoverAndNotThePage()
    {
        SignedIn = SignedIn! with { Lock = _lock with { Locked = true } };

        var layout = Open();

        layout.WaitForAssertion(() => Assert.Contains("This console is covered", layout.Markup, StringComparison.Ordinal));
        Assert.DoesNotContain("Ottilie Brandvold", layout.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public void SilenceIsAskedForFromTheCover()
    {
        _lock = _lock with { SessionRunning = true };
        var layout = Open();
        Leave(layout);
        layout.WaitForAssertion(() => Assert.Contains("A session is running.", layout.Markup, StringComparison.Ordinal));

        layout.Find("button.stop").Click();

        layout.WaitForAssertion(() => Assert.Contains("It is silent, and on hold.", layout.Markup, StringComparison.Ordinal));
        Assert.Contains(_posts, post => post.Path == "/api/silence");
    }

    [Fact]
    public void WithoutASessionThereIsNothingToStop()
    {
        var layout = Open();
        Leave(layout);

        Assert.Empty(layout.FindAll("button.stop"));
        Assert.Contains("No session of yours is running.", layout.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public void AProofUncoversItAndAWrongOneDoesNot()
    {
        var layout = Open();
        Leave(layout);
        _proofRefusal = new Refusal(RefusalCodes.NotProven, "That did not match. Nothing has happened.");

        Prove(layout);
        layout.WaitForAssertion(() => Assert.Contains("That did not match.", layout.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        Assert.Contains("This console is covered", layout.Markup, StringComparison.Ordinal);

        _proofRefusal = null;
        Prove(layout);
        layout.WaitForAssertion(() => Assert.Contains("Ottilie Brandvold", layout.Markup, StringComparison.Ordinal));
        Assert.Contains("\"password\":\"correct horse\"", _posts[^1].Body, StringComparison.Ordinal);
    }

    [Fact]
    public void SomebodyAtAnotherTabKeepsThisOneOpen()
    {
        _lock = _lock with { IdleForSeconds = 20 };
        var layout = Open();

        Time.Advance(TimeSpan.FromMinutes(10) + TimeSpan.FromSeconds(1));

        layout.WaitForAssertion(() => Assert.Contains(_posts, post => post.Body.Contains("\"left\":true", StringComparison.Ordinal)));
        layout.WaitForAssertion(() => Assert.Contains("Ottilie Brandvold", layout.Markup, StringComparison.Ordinal));
    }

    [Fact]
    public void WhatWasCoveredAtAnotherTabOrByTheHubIsCoveredHereWithinSeconds()
    {
        var layout = Open();
        Set(_lock with { Locked = true });

        Pass(layout, TimeSpan.FromSeconds(11), () => Assert.Contains("This console is covered", layout.Markup, StringComparison.Ordinal));
        Assert.DoesNotContain("Ottilie Brandvold", layout.Markup, StringComparison.Ordinal);

        // Uncovered there, it is uncovered here.
        Set(_lock with { Locked = false });
        Pass(layout, TimeSpan.FromSeconds(6), () => Assert.Contains("Ottilie Brandvold", layout.Markup, StringComparison.Ordinal));
    }

    [Fact]
    public void AReportOfUseIsAnsweredByTheCover()
    {
        var layout = Open();
        _lock = _lock with { Locked = true };
        Time.Advance(TimeSpan.FromSeconds(8));
        layout.FindComponent<IdleWarning>().Instance.SomebodyIsThere();

        Pass(layout, TimeSpan.FromSeconds(8), () => Assert.Contains("This console is covered", layout.Markup, StringComparison.Ordinal));
    }

    [Fact]
    public void AHubThatDoesNotAnswerLeavesItCovered()
    {
        var layout = Open();
        var answers = Http;
        Http = _ => throw new HttpRequestException("away");
        Leave(layout);

        Http = answers;
        Time.Advance(TimeSpan.FromSeconds(2));

        layout.WaitForAssertion(() => Assert.Contains(_posts, post => post.Path == "/api/lock"));
        Assert.Contains("This console is covered", layout.Markup, StringComparison.Ordinal);
    }

    private static HttpResponseMessage Json<T>(T value) => new(HttpStatusCode.OK) { Content = JsonContent.Create(value, options: Protocol.Json) };

    private LockView Set(LockView now)
    {
        SignedIn = SignedIn! with { Lock = now };
        return _lock = now;
    }

    private IRenderedComponent<MainLayout> Open()
    {
        var layout = Render<MainLayout>(parameters => parameters.Add(page => page.Body, builder => builder.AddMarkupContent(0, "<p>Ottilie Brandvold</p>")));
        layout.WaitForAssertion(() => Assert.DoesNotContain("Reaching the hub", layout.Markup, StringComparison.Ordinal));
        return layout;
    }

    private void Leave(IRenderedComponent<MainLayout> layout) =>
        Pass(layout, TimeSpan.FromMinutes(10), () => Assert.Contains("This console is covered", layout.Markup, StringComparison.Ordinal));

    private void Pass(IRenderedComponent<MainLayout> layout, TimeSpan time, Action holds)
    {
        Time.Advance(time);
        layout.WaitForAssertion(holds);
    }

    private static void Prove(IRenderedComponent<MainLayout> layout)
    {
        layout.Find("input[type=password]").Input("correct horse");
        layout.Find("input[autocomplete=one-time-code]").Input("123456");
        layout.Find("form:has(input[type=password])").Submit();
    }
}
