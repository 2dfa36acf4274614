using System.Net;
using System.Net.Http.Json;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Identity;

public sealed class SignInTests
{
    [Fact]
    public async Task ALinkIsGoodOnceAndLookingAtItUsesNothingUp()
    {
        await using var hub = await RunningHub.Start();
        var link = await Link(hub);
        using var browser = hub.Browser();

        for (var looks = 0; looks < 3; looks++)
        {
            var page = await browser.GetStringAsync(link, TestContext.Current.CancellationToken);
            Assert.Contains("<button type=\"submit\">Sign in</button>", page, StringComparison.Ordinal);
        }

        Assert.Equal(HttpStatusCode.BadRequest, (await browser.PostAsync(link, null, TestContext.Current.CancellationToken)).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await browser.Send(link)).StatusCode);
        var me = await browser.GetFromJsonAsync<Me>("/api/me", Protocol.Json, TestContext.Current.CancellationToken);
        Assert.Equal(("Maren Toft", Roles.Clinician), (me!.Name, me.Roles.Single()));
        Assert.Equal(HttpStatusCode.Gone, (await browser.SendFrom("/sign-in", link)).StatusCode);
        Assert.Equal(HttpStatusCode.Gone, (await browser.GetAsync(link, TestContext.Current.CancellationToken)).StatusCode);

        Assert.Equal(HttpStatusCode.OK, (await browser.PostAsync("/sign-out", null, TestContext.Current.CancellationToken)).StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, (await browser.GetAsync("/api/me", TestContext.Current.CancellationToken)).StatusCode);
    }

    [Fact]
    public async Task NoLogLineHoldsTheCodeOfALink()
    {
        using var folder = new TempFolder();
        string link;
        await using (var hub = await RunningHub.Start(folder))
        {
            link = await Link(hub);
            using var browser = hub.Browser();
            await browser.GetStringAsync(link, TestContext.Current.CancellationToken);
            Assert.Equal(HttpStatusCode.BadRequest, (await browser.PostAsync(link, null, TestContext.Current.CancellationToken)).StatusCode);
            Assert.Equal(HttpStatusCode.Redirect, (await browser.Send(link)).StatusCode);
        }

        var lines = string.Concat(Directory.GetFiles(folder.Inside("logs")).Select(File.ReadAllText));
        Assert.NotEmpty(lines);
        Assert.DoesNotContain(link.Split('/')[^1], lines, StringComparison.Ordinal);
        Assert.DoesNotContain("RequestPath", lines, StringComparison.Ordinal);
    }

    [Fact]
    public async Task OfManyAtOnceOneGetsIn()
    {
        await using var hub = await RunningHub.Start();
        var link = await Link(hub);

        var answers = await Task.WhenAll(Enumerable.Range(0, 5).Select(async _ =>
        {
            using var browser = hub.Browser();
            return (await browser.SendFrom("/sign-in", link)).StatusCode;
        }));

        Assert.Single(answers, HttpStatusCode.Redirect);
    }

    [Fact]
    public async Task ALinkGrowsOld()
    {
        var clock = new FakeTimeProvider(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(clock));
        var link = await Link(hub);
        clock.Advance(TimeSpan.FromHours(12));
        using var browser = hub.Browser();

        Assert.Equal(HttpStatusCode.Gone, (await browser.SendFrom("/sign-in", link)).StatusCode);
    }

    [Fact]
    public async Task NeitherLinkNorEnrolmentCodeIsKeptReadable()
    {
        await using var hub = await RunningHub.Start();
        var link = await Link(hub);
        await hub.Get<KitFleet>().Enter(new KitId("kit-01"), "kit", "shelf", TestContext.Current.CancellationToken);
        var code = await hub.Get<KitFleet>().IssueEnrolmentCode(new KitId("kit-01"), TestContext.Current.CancellationToken);
        await hub.App.StopAsync(TestContext.Current.CancellationToken);
        SqliteConnection.ClearAllPools();

        foreach (var file in Directory.EnumerateFiles(hub.DataFolder, StorageRegistration.FileName + "*"))
        {
            var content = System.Text.Encoding.Latin1.GetString(await File.ReadAllBytesAsync(file, TestContext.Current.CancellationToken));
            Assert.DoesNotContain(link.Split('/')[^1], content, StringComparison.Ordinal);
            Assert.DoesNotContain(code, content, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task AnotherSitesPageChangesNothingHere()
    {
        await using var hub = await RunningHub.Start();
        var link = await Link(hub);
        using var browser = hub.Browser();
        browser.DefaultRequestHeaders.Add("Origin", "https://elsewhere.example");

        Assert.Equal(HttpStatusCode.Forbidden, (await browser.Send(link)).StatusCode);
        browser.DefaultRequestHeaders.Remove("Origin");
        browser.DefaultRequestHeaders.Add("Origin", hub.Address.GetLeftPart(UriPartial.Authority));
        Assert.Equal(HttpStatusCode.Redirect, (await browser.Send(link)).StatusCode);
    }

    [Fact]
    public async Task TheSignInPageIsNotKeptNotFramedAndNeverAsksTheBrowserToHideItsOrigin()
    {
        await using var hub = await RunningHub.Start();
        using var browser = hub.Browser();

        var answer = await browser.GetAsync(await Link(hub), TestContext.Current.CancellationToken);

        Assert.True(answer.Headers.CacheControl!.NoStore);
        Assert.Contains("frame-ancestors 'none'", answer.Headers.GetValues("Content-Security-Policy").Single(), StringComparison.Ordinal);
        Assert.Equal("same-origin", answer.Headers.GetValues("Referrer-Policy").Single());
        Assert.Contains("name=\"referrer\" content=\"same-origin\"", await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AnEnrolmentCodeIsGoodOnce()
    {
        await using var hub = await RunningHub.Start();
        await hub.Get<KitFleet>().Enter(new KitId("kit-01"), "kit", "shelf", TestContext.Current.CancellationToken);
        var code = await hub.Get<KitFleet>().IssueEnrolmentCode(new KitId("kit-01"), TestContext.Current.CancellationToken);
        await using var kit = new TestKit(new KitId("kit-01"), hub.Address);
        using var client = new HttpClient { BaseAddress = hub.Address };

        async Task<EnrolReply> Enrol(EnrolRequest request)
        {
            var answer = await client.PostAsJsonAsync(Protocol.EnrolPath, request, Protocol.Json, TestContext.Current.CancellationToken);
            return (await answer.Content.ReadFromJsonAsync<EnrolReply>(Protocol.Json, TestContext.Current.CancellationToken))!;
        }

        Assert.Equal(RefusalCodes.Invalid, (await Enrol(new EnrolRequest(code, "not a key", Protocol.Version))).Refusal!.Code);
        Assert.Equal(RefusalCodes.ProtocolVersion, (await Enrol(new EnrolRequest(code, kit.PublicKeyPem, 99))).Refusal!.Code);
        Assert.Equal("kit-01", (await Enrol(new EnrolRequest(code, kit.PublicKeyPem, Protocol.Version))).KitId!.Value.Value);
        Assert.Equal(RefusalCodes.EnrolmentCode, (await Enrol(new EnrolRequest(code, kit.PublicKeyPem, Protocol.Version))).Refusal!.Code);
        Assert.Equal(RefusalCodes.EnrolmentCode, (await Enrol(new EnrolRequest("wrong", kit.PublicKeyPem, Protocol.Version))).Refusal!.Code);
    }

    private static async Task<string> Link(RunningHub hub) =>
        await hub.Get<SignInLinks>().Issue(await hub.Person("Maren Toft", Roles.Clinician), TestContext.Current.CancellationToken);
}
