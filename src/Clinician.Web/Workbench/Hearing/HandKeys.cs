namespace TeleHearing.Clinician.Web.Workbench.Hearing;

/// <summary>A key as the page saw it.</summary>
/// <param name="Key">Name of the key, as browsers give it.</param>
/// <param name="Typing">The person is writing in a field, or a dialog is open.</param>
/// <param name="OnControl">A button or link has the focus; space and enter then belong to it.</param>
/// <param name="Modified">Control, Alt or the system key is down: a shortcut of the browser.</param>
/// <param name="Repeated">The key is being held down.</param>
public sealed record KeyPress(string Key, bool Typing, bool OnControl, bool Modified, bool Repeated);

/// <summary>Which key does what. The same list is shown on the screen.</summary>
public static class HandKeys
{
    /// <summary>Every key with its words, in the order shown.</summary>
    public static IReadOnlyList<(string Key, string Shown, HandAction Action, string Words)> All { get; } =
    [
        (" ", "Space", HandAction.Present, "Present the tone"),
        ("ArrowUp", "↑", HandAction.Louder, "Louder by one step"),
        ("ArrowDown", "↓", HandAction.Softer, "Softer by one step"),
        ("ArrowRight", "→", HandAction.HigherFrequency, "Next higher frequency"),
        ("ArrowLeft", "←", HandAction.LowerFrequency, "Next lower frequency"),
        ("r", "R", HandAction.RightEar, "Right ear"),
        ("l", "L", HandAction.LeftEar, "Left ear"),
        ("5", "5", HandAction.StepOf5, "Steps of 5 dB"),
        ("2", "2", HandAction.StepOf2, "Steps of 2 dB"),
        ("1", "1", HandAction.StepOf1, "Steps of 1 dB"),
        ("p", "P", HandAction.SwitchShape, "Pulsed or steady"),
        ("m", "M", HandAction.MaskerOnOff, "Masker in the other ear on or off"),
        ("PageUp", "Page ↑", HandAction.MaskerLouder, "Masker louder by one step"),
        ("PageDown", "Page ↓", HandAction.MaskerSofter, "Masker softer by one step"),
        ("b", "B", HandAction.SwitchRoute, "Air conduction, or bone at the mastoid or forehead"),
        ("a", "A", HandAction.Repeat, "Again: the last tone once more"),
        ("s", "S", HandAction.SearchHere, "Search this threshold"),
        ("n", "N", HandAction.FollowAdvice, "Next move of masking: set the levels advised"),
        ("w", "W", HandAction.SwitchPanel, "By hand, a whole ear, or by protocol"),
        ("h", "H", HandAction.Hold, "Hold: silence, and pause the session"),
        ("Escape", "Esc", HandAction.Cut, "Cut the tone or the search now"),
        ("?", "?", HandAction.Help, "Show or hide this list"),
    ];

    /// <summary>What a key press asks for; nothing while the person types, but for the cut, and nothing that would take a key away from the control in focus.</summary>
    public static HandAction? Read(KeyPress press)
    {
        if (press.Modified || (press.Typing && press.Key != "Escape"))
        {
            return null;
        }

        var match = All.FirstOrDefault(entry => string.Equals(entry.Key, press.Key, StringComparison.OrdinalIgnoreCase));
        if (match.Key is null || (press.OnControl && match.Action == HandAction.Present))
        {
            return null;
        }

        // A held key moves level and frequency on, but never makes a second tone.
        var runsOn = match.Action is HandAction.Louder or HandAction.Softer or HandAction.HigherFrequency or HandAction.LowerFrequency or HandAction.MaskerLouder or HandAction.MaskerSofter;
        return press.Repeated && !runsOn ? null : match.Action;
    }

    /// <summary>The key of an action as shown beside its control.</summary>
    public static string Shown(HandAction action) => All.First(entry => entry.Action == action).Shown;
}
