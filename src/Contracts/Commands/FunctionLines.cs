namespace TeleHearing.Contracts;

/// <summary>One line of the function check: what to do and what must be heard.</summary>
/// <param name="Code">Stable code.</param>
/// <param name="Title">What is checked, in a few words.</param>
/// <param name="Instruction">What to do and what must be heard.</param>
public sealed record FunctionLine(string Code, string Title, string Instruction);

/// <summary>The lines of the function check, in order. Daily listening checks of this kind: OSHA 29 CFR 1910.95(h)(5)(i), from memory.</summary>
public static class FunctionLines
{
    /// <summary>Code of the line about the random left/right proof.</summary>
    public const string Sides = "sides";

    public static IReadOnlyList<FunctionLine> All { get; } =
    [
        new("right-channel", "Right channel", "Play a tone to the right ear. It comes from the earphone marked R (red), and from no other."),
        new("left-channel", "Left channel", "Play a tone to the left ear. It comes from the earphone marked L (blue), and from no other."),
        new("crosstalk", "Nothing on the other side", "Play 70 dB HL at 1000 Hz to one ear and listen at the other earphone, away from the first; then the other way round. Nothing is heard."),
        new("steady", "No break and no crackle", "Play a long tone to each ear and move the cable at plug and earphone. It neither breaks off nor crackles."),
        new(Sides, "Left and right at random", "Do the left/right proof with at least four tones. Every side is named right."),
    ];
}
