using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Hosting;

/// <summary>What browsers are told about pages, cookies and the way to the hub.</summary>
public sealed class PageSecurityTests
{
    [Fact]
    public void AScriptInsideAPageIsLetRunByItsHash()
    {
        // Text and hash: the example of W3C Content Security Policy Level 3, 8.3 "Usage of 'unsafe-hashes'" and MDN's page on script-src give the same pair.
        const string html = "<script type=\"module\" src=\"a.js\"></script><script>alert('Hello, world.');</script><script src=\"b.js\"></script>";

        Assert.Equal(["'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"], ContentPolicy.InlineScripts(html));
    }

    [Fact]
    public void TheConsoleLoadsFromItsOwnHubAlone()
    {
        var policy = Policy(ContentPolicy.Console("clinic.example:5080", https: true, ["'sha256-x'"]));

        Assert.Equal("'self'", policy["default-src"]);
        Assert.Equal("'self' 'wasm-unsafe-eval' 'sha256-x'", policy["script-src"]);
        Assert.Equal("'self'", policy["style-src"]);
        Assert.Equal("'self' wss://clinic.example:5080", policy["connect-src"]);
        Assert.Equal("'none'", policy["frame-ancestors"]);
        Assert.Equal("'none'", policy["object-src"]);
        Assert.Equal("'self'", policy["base-uri"]);
        Assert.Equal("'self'", policy["form-action"]);
    }

    [Fact]
    public async Task APageOfTheHubRunsItsOwnStyleAndNoScript()
    {
        await using var hub = await RunningHub.Start();
        using var browser = new HttpClient { BaseAddress = hub.Address };

        var answer = await browser.GetAsync("/sign-in/unknown", TestContext.Current.CancellationToken);

        // Hashed as a browser does it (Content Security Policy Level 3, 6.7.3.3): the text between the tags, in UTF-8.
        var html = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        var style = html[(html.IndexOf("<style>", StringComparison.Ordinal) + 7)..html.IndexOf("</style>", StringComparison.Ordinal)];
        var policy = Policy(answer.Headers.GetValues("Content-Security-Policy").Single());
        Assert.Equal($"'sha256-{Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(style)))}'", policy["style-src"]);
        Assert.Equal("'none'", policy["default-src"]);
        Assert.DoesNotContain("script-src", policy.Keys);
    }

    [Fact]
    public async Task EveryAnswerSaysWhoMayUseIt()
    {
        await using var hub = await RunningHub.Start();
        using var browser = new HttpClient { BaseAddress = hub.Address };

        foreach (var path in new[] { "/health", "/api/me", "/api/nothing", "/sign-in/unknown" })
        {
            var answer = await browser.GetAsync(path, TestContext.Current.CancellationToken);
            foreach (var (name, value) in new[] { ("X-Content-Type-Options", "nosniff"), ("Cross-Origin-Opener-Policy", "same-origin"), ("Cross-Origin-Resource-Policy", "same-origin"), ("Referrer-Policy", "same-origin") })
            {
                Assert.Equal(value, answer.Headers.GetValues(name).Single());
            }

            Assert.Contains("frame-ancestors 'none'", answer.Headers.GetValues("Content-Security-Policy").Single(), StringComparison.Ordinal);
            Assert.False(answer.Headers.Contains("Strict-Transport-Security"));
        }
    }

    [Fact]
    public async Task WithACertificateTheCookieIsBoundToTheHostAndTheBrowserStaysOnHttps()
    {
        using var folder = new TempFolder();
        var (certificate, key) = await SelfSigned(folder);
        await using var hub = await RunningHub.Start(change: settings => settings with { Urls = "https://127.0.0.1:0", CertificateFile = certificate, CertificateKeyFile = key });
        var link = await hub.Get<SignInLinks>().Issue(await hub.Person("Maren Toft", Roles.Clinician), TestContext.Current.CancellationToken);
        using var pinned = X509CertificateLoader.LoadCertificateFromFile(certificate);
        using var browser = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false, ServerCertificateCustomValidationCallback = (_, shown, _, _) => shown?.Thumbprint == pinned.Thumbprint }) { BaseAddress = hub.Address };

        var answer = await browser.Send(link);

        // The attributes the prefix __Host- demands: RFC 6265bis, 4.1.3.2.
        var cookie = Assert.Single(answer.Headers.GetValues("Set-Cookie"), header => header.StartsWith("__Host-telehearing=", StringComparison.Ordinal)).ToLowerInvariant();
        Assert.All(["; path=/", "; secure", "; httponly", "; samesite=strict"], part => Assert.Contains(part, cookie, StringComparison.Ordinal));
        Assert.DoesNotContain("domain=", cookie, StringComparison.Ordinal);
        Assert.Equal("max-age=31536000", answer.Headers.GetValues("Strict-Transport-Security").Single());
    }

    [Theory]
    [InlineData("http://0.0.0.0:5080", false)]
    [InlineData("http://192.0.2.7:5080", false)]
    [InlineData("http://*:5080", false)]
    [InlineData("http://hub.example:5080", false)]
    [InlineData("https://127.0.0.1:5443", false)]
    [InlineData("http://127.0.0.1:5080;http://[::]:5081", false)]
    [InlineData("http://127.0.0.1:5080", true)]
    [InlineData("http://localhost:5080;http://[::1]:5080", true)]
    public void PlainHttpIsForTheOwnMachine(string urls, bool fine)
    {
        var settings = new HubSettings { DataFolder = "data", Urls = urls };

        Assert.Equal(fine, settings.Faults().Count == 0);
        if (!fine)
        {
            Assert.Contains("--certificate", settings.Faults().Single(), StringComparison.Ordinal);
        }

        Assert.Equal(urls.StartsWith("https", StringComparison.Ordinal), (settings with { BehindTlsProxy = true }).Faults().Count > 0);
    }

    [Fact]
    public void ACertificateThatCannotBeReadIsSaid()
    {
        using var folder = new TempFolder();
        File.WriteAllText(folder.Inside("not.pem"), "nonsense");
        var settings = new HubSettings { DataFolder = folder.Inside("data"), Urls = "https://127.0.0.1:0", CertificateFile = folder.Inside("not.pem") };

        Assert.Contains("cannot be used", Assert.Throws<ArgumentException>(() => HubHost.Build(settings)).Message, StringComparison.Ordinal);
        Assert.Contains("There is no file", Assert.Throws<ArgumentException>(() => HubHost.Build(settings with { CertificateFile = folder.Inside("absent.pem") })).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task RequestsOfOtherSitesStandInTheAudit()
    {
        await using var hub = await RunningHub.Start();
        using var browser = new HttpClient { BaseAddress = hub.Address, DefaultRequestHeaders = { { "Origin", "https://elsewhere.example" } } };

        Assert.Equal(HttpStatusCode.Forbidden, (await browser.PostAsync("/hubs/console/negotiate?negotiateVersion=1", null, TestContext.Current.CancellationToken)).StatusCode);

        await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken);
        var row = await context.AuditEntries.SingleAsync(entry => entry.Kind == AuditActs.OtherSiteRefused, TestContext.Current.CancellationToken);
        Assert.Equal(RefusalCodes.OtherSite, AuditEntry.Read(row.Kind, row.Payload)!.Refused);
    }

    private static Dictionary<string, string> Policy(string header) =>
        header.Split("; ").Select(part => part.Split(' ', 2)).ToDictionary(part => part[0], part => part[1]);

    private static async Task<(string Certificate, string Key)> SelfSigned(TempFolder folder)
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var now = TimeProvider.System.GetUtcNow();
        using var certificate = new CertificateRequest("CN=hub.example", key, HashAlgorithmName.SHA256).CreateSelfSigned(now.AddDays(-1), now.AddDays(1));
        await File.WriteAllTextAsync(folder.Inside("hub.pem"), certificate.ExportCertificatePem(), TestContext.Current.CancellationToken);
        await File.WriteAllTextAsync(folder.Inside("hub.key"), key.ExportPkcs8PrivateKeyPem(), TestContext.Current.CancellationToken);
        return (folder.Inside("hub.pem"), folder.Inside("hub.key"));
    }
}
