using Microsoft.Playwright;

namespace TeleHearing.Browser.Tests.Support;

/// <summary>Presses something that moves meanwhile, as everything below does when a picture from the hub adds a line.</summary>
public static class MovingPage
{
    // The element itself is moved: where a page grows above what is read, the browser may scroll with it, and nothing would have moved.
    private const string Move = "element => { element.style.translate = '0 90px'; }";

    private const string MoveBack = "element => { element.style.translate = ''; }";

    /// <summary>Presses with the mouse, and lets go where the press began or beside it.</summary>
    /// <param name="what">What is pressed.</param>
    /// <param name="letGoAsidePx">How far from there the button is let go, px.</param>
    public static async Task Press(ILocator what, float letGoAsidePx = 0)
    {
        var page = what.Page;
        var (x, y) = await MiddleOf(what);
        await page.Mouse.MoveAsync(x, y);
        await page.Mouse.DownAsync();
        await what.EvaluateAsync(Move);
        await page.Mouse.MoveAsync(x + letGoAsidePx, y);
        await page.Mouse.UpAsync();
        await what.EvaluateAsync(MoveBack);
    }

    /// <summary>Presses with a finger.</summary>
    public static async Task Touch(ILocator what)
    {
        var page = what.Page;
        var (x, y) = await MiddleOf(what);
        var browser = await page.Context.NewCDPSessionAsync(page);
        // Moved by the touch itself: asked for from here, it could take so long that the browser makes a long press of it.
        await what.EvaluateAsync($"element => element.addEventListener('pointerdown', () => ({Move})(element), {{ once: true }})");
        await browser.SendAsync("Input.dispatchTouchEvent", new() { ["type"] = "touchStart", ["touchPoints"] = new[] { new { x, y } } });
        await browser.SendAsync("Input.dispatchTouchEvent", new() { ["type"] = "touchEnd", ["touchPoints"] = Array.Empty<object>() });
        await what.EvaluateAsync(MoveBack);
        await browser.DetachAsync();
    }

    /// <summary>Where its middle is in the window, CSS px.</summary>
    public static async Task<(float X, float Y)> MiddleOf(ILocator what)
    {
        await what.ScrollIntoViewIfNeededAsync();
        var box = await what.BoundingBoxAsync() ?? throw new InvalidOperationException("It is not in the page.");
        return (box.X + (box.Width / 2), box.Y + (box.Height / 2));
    }
}
