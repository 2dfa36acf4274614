namespace TeleHearing.Browser.Tests.Support;

/// <summary>A clinic in real time whose first session stands at the stage Testing, with both windows open. Every test leaves the session there.</summary>
public sealed class ClinicAtTesting(SharedBrowser browser) : Clinic("realtime", browser)
{
    /// <summary>The clinician's window, at the session.</summary>
    public ConsoleWindow AtConsole { get; private set; } = null!;

    /// <summary>The assistant's window.</summary>
    public KitWindow AtKit { get; private set; } = null!;

    public override async ValueTask InitializeAsync()
    {
        await base.InitializeAsync();
        AtConsole = await OpenConsole();
        AtKit = await OpenKitScreen();
        await Walk.ToTesting(AtConsole, AtKit, "Oda Brekkestad");
    }
}
