using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>Two people and one session: who is in control, and how it changes hands.</summary>
public sealed class ControlTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    private readonly Screens _screens = new(output);

    [Fact]
    public async Task OneAsksAndIsGrantedAndTheOtherTakesOverWithAReason()
    {
        await using var maren = await clinic.OpenConsole();
        await using var kit = await clinic.OpenKitScreen();
        var context = await clinic.Browser.NewPerson(1440, 900);
        var page = await context.NewPageAsync();
        await Clinic.SignIn(page, clinic.SecondClinicianLink);
        await using var ivo = new ConsoleWindow(page);
        await maren.Open("Oda Brekkestad");
        await maren.TakeControl();
        await ivo.Open("Oda Brekkestad");

        await ivo.Button("Ask for control…").PressAsync("Enter");
        await ivo.Fill("Why, in a line", "to show the masking");
        await ivo.Button("Ask").ClickAsync();
        await Expect(Strip(maren)).ToContainTextAsync("Ivo Lindqvist asks for control: to show the masking");
        await _screens.Keep(maren.Page, "console-control-asked");
        await maren.Button("Hand it to Ivo Lindqvist").PressAsync("Enter");

        await Expect(Strip(ivo)).ToContainTextAsync("You are in control.");
        await Expect(Strip(maren)).ToContainTextAsync("Ivo Lindqvist is in control.");
        await Expect(kit.Page.GetByText("Ivo Lindqvist leads now, instead of Maren Toft.")).ToBeVisibleAsync();

        await maren.Button("Take over…").PressAsync("Enter");
        await maren.Fill("Reason, for the record", "he was called away");
        await maren.Button("Take over now").ClickAsync();
        await Expect(Strip(ivo)).ToContainTextAsync("Maren Toft took control over from Ivo Lindqvist: he was called away");
        await Expect(Strip(maren)).ToContainTextAsync("You are in control.");
        await maren.GoOn("Who and where");
        await _screens.Keep(ivo.Page, "console-control-lost");
    }

    private static ILocator Strip(ConsoleWindow console) => console.Page.GetByRole(AriaRole.Region, new() { Name = "Control of the session" });
}
