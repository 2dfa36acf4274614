namespace TeleHearing.Hub.Fleet.Papers;

/// <summary>Plain instructions for the site: short sentences, one thing to do in each, digits for numbers. Held at 15 words a sentence and at the reading age of 10 to 12 by a test (practice reference, section 9).</summary>
internal static class SiteInstructions
{
    /// <summary>What to do when the kit comes.</summary>
    public static IReadOnlyList<string> WhenItComes { get; } =
    [
        "Put the case on a table.",
        "Open it slowly.",
        "Look at the list and the photo.",
        "Check that each thing is there.",
        "Plug the kit in and let it charge.",
        "Follow the steps on its screen.",
    ];

    /// <summary>What to do before it goes back.</summary>
    /// <param name="wipesInCase">Whether wipes are on the list of what is in the case.</param>
    public static IReadOnlyList<string> BeforeItGoes(bool wipesInCase) =>
    [
        "Throw away all parts that are used once.",
        wipesInCase ? "Wipe the ear cushions with the wipes in the case." : "Wipe the ear cushions with the wipes you were given.",
        "Let them dry.",
        "Switch the kit off.",
        "Put each thing back in its place.",
        "Look at the photo again.",
        "Close the case.",
        "Put the return label on the case.",
        "Give it to the carrier on the day below.",
        "Keep the slip with the number.",
    ];

    /// <summary>When something is wrong: each question with what to do then.</summary>
    public static IReadOnlyList<(string Question, IReadOnlyList<string> Answers)> WhenSomethingIsWrong { get; } =
    [
        ("Is something missing, broken, wet or hot?", ["Do not use the kit.", "Call us first."]),
        ("Does anyone feel pain, or see blood or fluid in an ear?", ["Stop.", "Put nothing in the ear.", "Call a doctor, or your emergency number if it is bad."]),
        ("Can you not send the kit on that day?", ["Call us, and we will find a new day."]),
    ];
}
