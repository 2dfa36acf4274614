using System.Globalization;
using System.Net;
using System.Text.RegularExpressions;
using OtpNet;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Hub.Identity.Pages;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>A hub in service set up from nothing by its command line, while it runs.</summary>
[Trait("Kind", "EndToEnd")]
public sealed partial class SettingUpTests
{
    [Fact]
    public async Task AClinicianAKitAndASessionAreEnteredBesideTheRunningHub()
    {
        var cancellation = TestContext.Current.CancellationToken;
        using var folder = new TempFolder();
        await using var serve = RealProcess.Dotnet(BuiltPrograms.Hub, "serve", "--data", folder.Path, "--urls", "http://127.0.0.1:0");
        var address = new Uri((await serve.WaitForLine("console:", Limits.Start, cancellation))["console:".Length..].Trim());

        var owner = await serve.WaitForLine("Owner link", Limits.Start, cancellation);
        await SetUp(new Uri(owner.Split(' ')[^1]), "runa", "Runa Aske", cancellation);
        Assert.DoesNotContain(Directory.EnumerateFiles(Path.Combine(folder.Path, "logs")), file => ReadShared(file).Contains("/set-up/", StringComparison.Ordinal));
        var added = await Run(0, "people", "add", "Maren Toft", "--role", "clinician", "--address", address.ToString(), "--data", folder.Path);
        var code = await Run(0, "kits", "add", "kit-07", "--label", "loan kit", "--where", "on the shelf", "--data", folder.Path);
        var start = TimeProvider.System.GetLocalNow().AddDays(1).ToString("yyyy-MM-ddTHH:mm", CultureInfo.InvariantCulture);
        string[] plan =
        [
            "sessions", "plan", "--reference", "P-0001", "--name", "Ottilie Brandvold", "--born", "1951-03-04", "--referral", "First test",
            "--place", "at home", "--start", start, "--kit", "kit-07", "--clinician", "Maren Toft", "--data", folder.Path,
        ];
        await Run(0, plan);

        var link = new Uri(added.Split('\n').Single(line => line.Contains("/set-up/", StringComparison.Ordinal)).Split(' ')[^1]);
        var signedIn = await SetUp(link, "maren", string.Empty, cancellation);
        await using var console = new ConsoleLink(address, TimeProvider.System);
        await console.SignIn(signedIn.GetAllCookies(), cancellation);
        var session = Assert.Single((await console.Board(cancellation)).Sessions);
        Assert.Equal(("Ottilie Brandvold", "kit-07"), (session.Person.Name, session.Kit.KitId.Value));
        Assert.Null(await console.Watch(session.SessionId, cancellation));

        await using var agent = new AgentRig(address, SessionRig.ShortListener);
        await agent.Provision("valid", cancellation);
        await agent.Start("fast", code.Split('\n').Single(line => line.StartsWith("enrolment code", StringComparison.Ordinal)).Split(' ')[^1], cancellation);
        await console.Until(view => view.Kit.Online, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);

        Assert.Contains("already", await Run(2, "people", "add", "Maren Toft", "--data", folder.Path), StringComparison.Ordinal);
        Assert.Contains("no kit kit-08", await Run(2, [.. plan.Select(part => part == "kit-07" ? "kit-08" : part)]), StringComparison.Ordinal);
        Assert.Contains("more than a day ago", await Run(2, [.. plan.Select(part => part == start ? "2026-05-04T10:30" : part)]), StringComparison.Ordinal);
        Assert.Contains("lies in the future", await Run(2, [.. plan.Select(part => part == "1951-03-04" ? "2951-03-04" : part)]), StringComparison.Ordinal);
        Assert.Contains("--born", await Run(2, [.. plan.Select(part => part == "1951-03-04" ? "4 March" : part)]), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AFolderWithoutAHubIsNotMadeIntoOne()
    {
        using var folder = new TempFolder();
        Assert.Contains("There is no hub in", await Run(2, "kits", "add", "kit-01", "--label", "kit", "--where", "shelf", "--data", folder.Path), StringComparison.Ordinal);
        Assert.Empty(Directory.EnumerateFileSystemEntries(folder.Path));
    }

    /// <summary>Completes the page of a link with a password and an authenticator.</summary>
    /// <returns>The cookies of the sign-in.</returns>
    private static async Task<CookieContainer> SetUp(Uri link, string signInName, string fullName, CancellationToken cancellation)
    {
        var cookies = new CookieContainer();
        using var browser = new HttpClient(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false });
        var page = await browser.GetStringAsync(link, cancellation);
        var key = KeyText().Match(page).Groups[1].Value.Replace(" ", string.Empty, StringComparison.Ordinal);
        using var form = FormToken.Form(
            page,
            ("full-name", fullName),
            ("sign-in-name", signInName),
            ("password", "nine pale herons walk"),
            ("sealed", SealedText().Match(page).Groups[1].Value),
            ("code", new Totp(Base32Encoding.ToBytes(key)).ComputeTotp(TimeProvider.System.GetUtcNow().UtcDateTime)));
        using var answer = await browser.PostAsync(new Uri(link + "/password"), form, cancellation);
        Assert.True(answer.StatusCode == HttpStatusCode.OK, await answer.Content.ReadAsStringAsync(cancellation));
        return cookies;
    }

    /// <summary>A log that the hub goes on writing.</summary>
    private static string ReadShared(string path)
    {
        using var stream = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }

    [GeneratedRegex("Key: ([A-Z2-7 ]+)<")]
    private static partial Regex KeyText();

    [GeneratedRegex("name=\"sealed\" value=\"([^\"]+)\"")]
    private static partial Regex SealedText();

    private static async Task<string> Run(int code, params string[] arguments)
    {
        await using var process = RealProcess.Dotnet(BuiltPrograms.Hub, arguments);
        var ended = await process.WaitForExit(Limits.Start, TestContext.Current.CancellationToken);
        Assert.True(ended == code, $"exit {ended}\n{process.Text()}");
        Assert.DoesNotContain("   at ", process.Text(), StringComparison.Ordinal);
        return process.Text();
    }
}
