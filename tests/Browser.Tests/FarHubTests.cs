using System.Globalization;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Browser.Tests;

/// <summary>What is done on the console alone waits for no network: turning the dial is as quick with a round trip of 600 ms to the hub as without.</summary>
public sealed class FarHubTests(ClinicAtTesting clinic, ITestOutputHelper output) : IClassFixture<ClinicAtTesting>
{
    private const int Presses = 40;

    /// <summary>Half of the round trip.</summary>
    private static readonly TimeSpan _oneWay = TimeSpan.FromMilliseconds(300);

    /// <summary>Room for a busy machine; a turn that waited for the hub would take more than a hundred times as long.</summary>
    private const double Ratio = 3;

    /// <summary>From a key to the change it makes on the page, in ms, once for each press; louder and softer by turns.</summary>
    private const string Turn = """
        async presses => {
          const dial = document.querySelector("p.now");
          const times = [];
          for (let press = 0; press < presses; press++) {
            const began = performance.now();
            await new Promise(done => {
              const seen = new MutationObserver(() => { seen.disconnect(); done(); });
              seen.observe(dial, { subtree: true, childList: true, characterData: true });
              const key = press % 2 ? "ArrowDown" : "ArrowUp";
              document.activeElement.dispatchEvent(new KeyboardEvent("keydown", { key, code: key, bubbles: true, cancelable: true }));
            });
            times.push(performance.now() - began);
          }
          return times.sort((one, other) => one - other);
        }
        """;

    [Fact]
    public async Task TheDialTurnsAsQuicklyWithARoundTripOf600Ms()
    {
        await using var proxy = new TcpProxy(clinic.Console.Port);
        var context = await clinic.Browser.NewPerson(1440, 900, clinic.ClinicianSignIn);
        await using var far = new ConsoleWindow(await context.NewPageAsync());
        await far.Page.GotoAsync(new UriBuilder(clinic.Console) { Port = proxy.Port }.Uri.ToString());
        await far.Open("Oda Brekkestad");
        await far.Stands("Testing");

        var near = await TurnTheDial(far);
        proxy.OneWayDelay = _oneWay;
        var away = await TurnTheDial(far);

        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{Presses} turns of the dial, middle one: {near:0.0} ms without delay, {away:0.0} ms with a round trip of 600 ms, {away / near:0.00} times."));
        Assert.True(away <= Ratio * near, $"{near:0.0} ms without, {away:0.0} ms with.");
        Assert.True(proxy.Standing > 0, "The console did not go through the proxy, so nothing is shown.");
    }

    private static async Task<double> TurnTheDial(ConsoleWindow console)
    {
        await console.Page.GetByRole(AriaRole.Heading, new() { Name = "Testing", Level = 1 }).FocusAsync();
        return (await console.Page.EvaluateAsync<double[]>(Turn, Presses))[Presses / 2];
    }
}
