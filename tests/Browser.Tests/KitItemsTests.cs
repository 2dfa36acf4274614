using System.Text;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>A coordinator brings a file of kits in, prints labels and has one read by the camera.</summary>
public sealed class KitItemsTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    private const string File =
        "kit,label,where,item,kind,expected,par,serial,single_use,expiry,contact,pairing,mass_kg,volume_l,battery_wh,battery_cells,batteries,battery_in_equipment\n" +
        "case-07,\"loan kit, circumaural earphones\",Office shelf,U1,earphone unit,1,1,AU-2140,no,,none,pair-07,0.85,2,18.5,4,1,yes\n" +
        "case-07,,,E1,circumaural earphones,1,1,CE-3207,no,,skin,pair-07,0.35,1.5,,,,\n" +
        "case-07,,,W1,disinfectant wipes,20,10,,yes,2027-05-31,none,,0.012,,,,,\n";

    /// <summary>A camera in front of which a label is held, a little turned and not straight in the middle. The picture comes as bytes: the console's content policy loads no picture from elsewhere.</summary>
    private static string Camera(byte[] label) => $$"""
        navigator.mediaDevices.getUserMedia = async () => {
          const bytes = Uint8Array.from(atob("{{Convert.ToBase64String(label)}}"), letter => letter.charCodeAt(0));
          const image = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
          const canvas = Object.assign(document.createElement("canvas"), { width: 640, height: 480 });
          const pen = canvas.getContext("2d");
          setInterval(() => {
            pen.setTransform(1, 0, 0, 1, 0, 0);
            pen.fillStyle = "#c9c2b4";
            pen.fillRect(0, 0, 640, 480);
            pen.translate(300, 250);
            pen.rotate(0.12);
            pen.fillStyle = "#ffffff";
            pen.fillRect(-160, -160, 320, 320);
            pen.drawImage(image, -150, -150, 300, 300);
          }, 60);
          return canvas.captureStream(15);
        };
        """;

    private readonly Screens _screens = new(output);

    [Fact]
    public async Task AFileBecomesAKitWhoseLabelTheCameraReads()
    {
        await using var context = await clinic.Browser.NewPerson(1440, 900);
        var page = await context.NewPageAsync();
        await Clinic.SignIn(page, clinic.CoordinatorLink);
        await page.GotoAsync(new Uri(clinic.Console, "kits/file").ToString());
        await Upload(page, File.Replace(",20,10,", ",20,thirty,", StringComparison.Ordinal));
        await Expect(page.GetByRole(AriaRole.Row, new() { NameRegex = new Regex("^4 par ") })).ToBeVisibleAsync();
        await _screens.Keep(page, "items-file-faults");
        await Upload(page, File);
        await page.GetByRole(AriaRole.Button, new() { Name = "Keep this" }).ClickAsync();
        await Expect(page.GetByText("Kept.", new() { Exact = true })).ToBeVisibleAsync();

        await page.GotoAsync(new Uri(clinic.Console, "papers/labels?kit=case-07").ToString());
        await Expect(page.GetByRole(AriaRole.Img, new() { NameRegex = new Regex("^QR code of TH-") })).ToHaveCountAsync(4);
        var code = await page.Locator(".code").Nth(2).InnerTextAsync();
        var label = await page.Locator("svg.qr").Nth(1).ScreenshotAsync();
        await _screens.Keep(page, "items-labels");

        await page.GotoAsync(new Uri(clinic.Console, "scan").ToString());
        await page.GetByLabel("Text on the label").FillAsync(code[..^1] + (code[^1] == 'A' ? "B" : "A"));
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.GetByText("the check character does not fit")).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Use the camera" }).ClickAsync();
        await Expect(page.GetByText("type the text on the label", new() { Exact = false }).Last).ToBeVisibleAsync();
        await _screens.Keep(page, "items-scan-refused");
        await page.GetByLabel("Text on the label").FillAsync(code.ToLowerInvariant());
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.GetByRole(AriaRole.Row, new() { NameRegex = new Regex("^→ E1 circumaural earphones") })).ToBeVisibleAsync();
        await page.GetByText("Change the contents").ClickAsync();
        await _screens.Keep(page, "items-kit-page");

        await page.SetViewportSizeAsync(390, 844);
        var widths = await page.EvaluateAsync<int[]>("() => [window.innerWidth, document.documentElement.scrollWidth]");
        await _screens.Keep(page, "items-kit-page-390");
        Assert.True(widths[1] <= widths[0], $"{widths[1]} px wide in a window of {widths[0]} px.");

        await page.AddInitScriptAsync(Camera(label));
        await page.GotoAsync(new Uri(clinic.Console, "scan").ToString());
        await page.GetByRole(AriaRole.Button, new() { Name = "Use the camera" }).ClickAsync();
        await Expect(page.GetByRole(AriaRole.Row, new() { NameRegex = new Regex("^→ U1 earphone unit") })).ToBeVisibleAsync();
        _screens.Report();
    }

    private static async Task Upload(IPage page, string text)
    {
        await page.GetByLabel("File (CSV, UTF-8, commas or semicolons)").SetInputFilesAsync(new FilePayload { Name = "kits.csv", MimeType = "text/csv", Buffer = Encoding.UTF8.GetBytes(text) });
        await Expect(page.GetByText("Reading…")).ToHaveCountAsync(0);
    }
}
