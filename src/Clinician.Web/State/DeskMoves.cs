using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Moves that both a key and a button make.</summary>
public static class DeskMoves
{
    /// <summary>Asks when the picture offers it, and says why not when it does not.</summary>
    public static async Task<bool> Press(this CommandDesk desk, SessionView view, string move, string what, Func<SessionCommand> command)
    {
        if (view.MoveFor(move) is { Allowed: false } refused)
        {
            desk.Explain(what, refused.WhyNot ?? "This is not possible now.");
            return false;
        }

        return await desk.Ask(what, command());
    }

    /// <summary>Cuts the step in hand.</summary>
    public static Task<bool> Cut(this CommandDesk desk, SessionView view) =>
        desk.Press(view, "cut-step", "Cut", () => new CutStep(view.Step?.StepId ?? default));
}
