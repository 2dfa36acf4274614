using System.Globalization;
using Microsoft.Playwright;
using TeleHearing.Testing;

namespace TeleHearing.Browser.Tests.Support;

/// <summary>The invented clinic of the demonstration, run as a process of its own with its own data and ports.</summary>
public abstract class Clinic(string pace, SharedBrowser browser) : IAsyncLifetime
{
    // Two hundred kits are given a past before the clinic opens.
    private static readonly TimeSpan _startLimit = TimeSpan.FromSeconds(300);

    private readonly TempFolder _folder = new();
    private RealProcess? _demo;

    /// <summary>Address of the console.</summary>
    public Uri Console { get; private set; } = null!;

    /// <summary>Address of the kit screen.</summary>
    public Uri KitScreen { get; private set; } = null!;

    /// <summary>Single-use link of the clinician who controls sessions in the tests.</summary>
    public Uri ClinicianLink { get; private set; } = null!;

    /// <summary>Single-use link of the second clinician.</summary>
    public Uri SecondClinicianLink { get; private set; } = null!;

    /// <summary>Single-use link of the coordinator.</summary>
    public Uri CoordinatorLink { get; private set; } = null!;

    /// <summary>Browser all people share.</summary>
    public SharedBrowser Browser { get; } = browser;

    /// <summary>The clinician's sign-in, to be handed to further contexts.</summary>
    public string ClinicianSignIn { get; private set; } = string.Empty;

    /// <summary>Loans the clinic's kits have behind and before them.</summary>
    public int Loans { get; private set; }

    /// <summary>Options of the demonstration beside data, pace and ports.</summary>
    protected virtual IReadOnlyList<string> MoreOptions => [];

    public virtual async ValueTask InitializeAsync()
    {
        var console = FreePorts.Take();
        var screen = FreePorts.Take();
        _demo = RealProcess.Dotnet(
            BuiltPrograms.Hub,
            [
                "demo", "--data", _folder.Inside("clinic"), "--pace", pace,
                "--port", console.ToString(CultureInfo.InvariantCulture),
                "--screen-port", screen.ToString(CultureInfo.InvariantCulture),
                .. MoreOptions,
            ]);
        ClinicianLink = await Link("clinician,");
        SecondClinicianLink = await Link("second clinician,");
        CoordinatorLink = await Link("coordinator,");
        var fleet = await _demo.WaitForLine("loans were entered besides", _startLimit, CancellationToken.None);
        Loans = int.Parse(fleet.Trim().Split(' ')[3], CultureInfo.InvariantCulture);
        await _demo.WaitForLine("Ctrl-C ends everything", _startLimit, CancellationToken.None);
        Console = new Uri(ClinicianLink.GetLeftPart(UriPartial.Authority));
        KitScreen = new Uri($"http://localhost:{screen}");

        await using var context = await Browser.NewPerson(1024, 768);
        await SignIn(await context.NewPageAsync(), ClinicianLink);
        ClinicianSignIn = await context.StorageStateAsync();
    }

    public async ValueTask DisposeAsync()
    {
        if (_demo is not null)
        {
            _demo.Interrupt();
            await _demo.DisposeAsync();
        }

        _folder.Dispose();
        GC.SuppressFinalize(this);
    }

    /// <summary>Uses a sign-in link up and waits for the start page.</summary>
    public static async Task SignIn(IPage page, Uri link)
    {
        await page.GotoAsync(link.ToString());
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign in" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Button, new() { Name = "Sign out" })).ToBeVisibleAsync();
    }

    /// <summary>The console of the signed-in clinician in a fresh window.</summary>
    public async Task<ConsoleWindow> OpenConsole(int width = 1440, int height = 900)
    {
        var context = await Browser.NewPerson(width, height, ClinicianSignIn);
        var page = await context.NewPageAsync();
        await page.GotoAsync(Console.ToString());
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Sessions", Level = 1 })).ToBeVisibleAsync();
        return new ConsoleWindow(page);
    }

    /// <summary>The kit screen in a fresh window.</summary>
    public async Task<KitWindow> OpenKitScreen(int width = 1280, int height = 800)
    {
        var context = await Browser.NewPerson(width, height);
        var page = await context.NewPageAsync();
        await page.GotoAsync(KitScreen.ToString());
        await Assertions.Expect(page.GetByRole(AriaRole.Button, new() { Name = "Stop" })).ToBeVisibleAsync();
        return new KitWindow(page);
    }

    private async Task<Uri> Link(string who)
    {
        var line = await _demo!.WaitForLine(
            text => text.TrimStart().StartsWith(who, StringComparison.Ordinal) && text.Contains("http://", StringComparison.Ordinal),
            _startLimit,
            CancellationToken.None);
        return new Uri(line[line.IndexOf("http://", StringComparison.Ordinal)..].Trim());
    }
}

/// <summary>A clinic whose simulated sound takes its time.</summary>
public sealed class RealtimeClinic(SharedBrowser browser) : Clinic("realtime", browser);

/// <summary>A clinic whose simulated sound passes as quickly as the machine can.</summary>
public sealed class FastClinic(SharedBrowser browser) : Clinic("fast", browser);

/// <summary>A clinic with two hundred kits and a year of loans behind each.</summary>
public sealed class LargeFleetClinic(SharedBrowser browser) : Clinic("fast", browser)
{
    protected override IReadOnlyList<string> MoreOptions => ["--kits", "200", "--loans", "26"];
}
