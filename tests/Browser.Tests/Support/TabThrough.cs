using Microsoft.Playwright;

namespace TeleHearing.Browser.Tests.Support;

/// <summary>Goes through a page with the Tab key as someone without a mouse does.</summary>
public static class TabThrough
{
    private const int MostStops = 400;

    // What the Tab key should reach: of a group of radio buttons only one is a stop, of what a dialog covers nothing.
    private const string Prepare = """
        () => {
          const scope = document.querySelector("dialog[open]") ?? document;
          const shown = element => element.checkVisibility({ visibilityProperty: true }) && element.getClientRects().length > 0;
          const groups = new Set();
          window.wanted = [...scope.querySelectorAll("a[href], button, input, select, textarea, summary")]
            .filter(element => shown(element) && !element.disabled && element.tabIndex >= 0)
            .filter(element => element.type !== "radio" || !groups.has(element.name) && groups.add(element.name));
          window.reached = new Set();
          (scope === document ? document.body : scope).focus();
          document.activeElement.blur?.();
        }
        """;

    // Where the focus is, and what is wrong with it, once the page is drawn as it is now.
    private const string Look = """
        async () => {
          await new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(drawn)));
          const element = document.activeElement;
          if (!element || element === document.body || element === document.documentElement || element.tagName === "DIALOG") {
            return { outside: true, again: false, fault: "" };
          }
          // A field for a day has several stops of its own inside.
          const again = window.reached.has(element) && !(element.type === "date" && element === window.latest);
          window.latest = element;
          window.reached.add(element);
          if (element.type === "radio") {
            document.querySelectorAll(`input[type=radio][name="${element.name}"]`).forEach(one => window.reached.add(one));
          }
          const look = getComputedStyle(element);
          const ringed = look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2;
          const isSeen = () => {
            const box = element.getBoundingClientRect();
            const points = [[0.5, 0.5], [0.1, 0.5], [0.9, 0.5], [0.5, 0.1], [0.5, 0.9]].map(([x, y]) => document.elementFromPoint(box.left + box.width * x, box.top + box.height * y));
            return points.some(point => point && (element.contains(point) || point.contains(element) && point.tagName === "LABEL"));
          };
          let seen = isSeen();
          if (!seen) {
            // What came from the hub since the key was pressed may have moved the page: what is hidden where the focus puts it is hidden now too.
            element.blur();
            element.focus();
            seen = isSeen();
          }
          const name = element.outerHTML.slice(0, 160);
          return { outside: false, again, fault: !ringed ? `no visible focus: ${name}` : !seen ? `focus hidden behind something: ${name}` : "" };
        }
        """;

    /// <summary>Fails when Tab misses something, when the focus cannot be seen, or when it never comes round.</summary>
    public static async Task Everything(IPage page, string where)
    {
        await page.EvaluateAsync(Prepare);
        var faults = new List<string>();
        var stops = 0;
        var timesOutside = 0;
        for (; stops < MostStops; stops++)
        {
            await page.Keyboard.PressAsync("Tab");
            var stop = await page.EvaluateAsync<Stop>(Look);
            // The first stop may be anywhere, where the page was clicked last; the round is over when a stop comes again.
            timesOutside += stop.Outside ? 1 : 0;
            if (stop.Again || timesOutside > 2)
            {
                break;
            }

            if (stop.Fault.Length > 0)
            {
                faults.Add(stop.Fault);
            }
        }

        Assert.True(stops < MostStops, $"{where}: the focus never comes round.");
        var missed = await page.EvaluateAsync<string[]>("() => window.wanted.filter(element => !window.reached.has(element)).map(element => element.outerHTML.slice(0, 160))");
        Assert.True(missed.Length == 0, $"{where}: Tab does not reach\n{string.Join('\n', missed)}");
        Assert.True(faults.Count == 0, $"{where}:\n{string.Join('\n', faults)}");
    }

    private sealed record Stop
    {
        public bool Outside { get; init; }

        public bool Again { get; init; }

        public string Fault { get; init; } = string.Empty;
    }
}
