using TeleHearing.Contracts;

namespace TeleHearing.Hub.Consent;

/// <summary>The English texts: short sentences and everyday words. The clinic edits them; what must be said is for local law to decide, and each text says so where it matters.</summary>
internal static class EnglishConsentTexts
{
    private static ConsentText English(ConsentPurpose purpose, string title, params string[] paragraphs) =>
        new(purpose, "en", 1, title, string.Join("\n\n", paragraphs), "I agree", "I do not agree", "I no longer agree");

    public static IReadOnlyList<ConsentText> All { get; } =
    [
        English(
            ConsentPurpose.Care,
            "Do you agree to a hearing test?",
            "A clinician will test your hearing. You wear earphones and press a button when you hear a sound. It does not hurt.",
            "You can say no. You can stop at any time, and you do not have to say why. If you say no, you can still get care from us in another way.",
            "What is measured is kept in your record. The law where you live says how long it is kept and what you may ask for."),
        English(
            ConsentPurpose.RemoteMode,
            "Do you agree to do this at a distance?",
            "The clinician is not in the room with you. You see and hear each other over the internet, and a kit on your table plays the sounds.",
            "If the line breaks, the sound stops at once. The clinician then calls you by phone and tells you what comes next.",
            "Some things can be seen better in person. You can choose a visit in person instead. The law where you live may set more rules about care at a distance."),
        English(
            ConsentPurpose.Assistant,
            "Do you agree to an assistant being with you?",
            "An assistant may be in the room, help you with the kit, and hear what you and the clinician say.",
            "You can say no, and you can ask the assistant to leave at any time. Some parts of the test may then not be possible today."),
        English(
            ConsentPurpose.Images,
            "Do you agree to pictures?",
            "The clinician may want to see your ear on a picture, and may keep that picture in your record.",
            "You can say no. Then no picture is taken, and the clinician may ask you to come in person."),
        English(
            ConsentPurpose.Recording,
            "Do you agree to a recording?",
            "The clinician may want to record the sound or the picture of this session. The screen tells you while a recording runs.",
            "You can say no. The test is the same without a recording. The law where you live may forbid recording without your yes."),
        English(
            ConsentPurpose.Sharing,
            "May we give your results to others?",
            "With your yes, the clinic may give your results to others who care for you, such as your doctor. The clinician tells you who it is.",
            "You can say no. Then the results stay with the clinic. In a few cases the law may make us pass something on; we tell you when that is so."),
        English(
            ConsentPurpose.Loan,
            "Do you agree to borrow the kit?",
            "The kit stays with you for some days. It belongs to the clinic. Please keep it dry and safe, and send it back on the day you were told.",
            "Do not open the kit or its battery. Call us if something is broken, hot or missing. The law where you live says what you owe if it is lost."),
    ];
}
