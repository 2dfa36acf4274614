namespace TeleHearing.Contracts;

/// <summary>One answer of the person.</summary>
/// <param name="Purpose">Purpose.</param>
/// <param name="Given">Whether they agree.</param>
/// <param name="TextVersion">Version of the text that was shown or read out.</param>
public sealed record ConsentReply(ConsentPurpose Purpose, bool Given, int TextVersion);

/// <summary>Answers given to the clinician, one entry of the ledger each. An answer of no is recorded like one of yes.</summary>
/// <param name="Replies">One per purpose.</param>
/// <param name="Language">Language of the texts.</param>
/// <param name="By">Who answers.</param>
/// <param name="How">Spoken, or on signed paper.</param>
/// <param name="FailurePlanExplained">What happens when the technique fails was explained.</param>
/// <param name="InPersonOffered">A visit in person was offered instead.</param>
public sealed record AnswerConsent(
    IReadOnlyList<ConsentReply> Replies,
    string Language,
    ConsentParty By,
    ConsentMeans How,
    bool FailurePlanExplained,
    bool InPersonOffered) : SessionCommand;

/// <summary>The kit's screen asks, purpose by purpose, and whoever answers presses there.</summary>
/// <param name="Purposes">What to ask, in this order.</param>
/// <param name="Language">Language to ask in.</param>
/// <param name="By">Who will answer.</param>
/// <param name="FailurePlanExplained">What happens when the technique fails was explained.</param>
/// <param name="InPersonOffered">A visit in person was offered instead.</param>
public sealed record AskConsentOnScreen(
    IReadOnlyList<ConsentPurpose> Purposes,
    string Language,
    ConsentParty By,
    bool FailurePlanExplained,
    bool InPersonOffered) : SessionCommand;

/// <summary>Consent is taken back, for some purposes or for all. When testing rests on one of them it stops now; what was taken before stays, under the consent of its time.</summary>
/// <param name="Reason">What was said.</param>
public sealed record WithdrawConsent(string Reason) : SessionCommand
{
    /// <summary>Which; every one that is given when empty.</summary>
    public IReadOnlyList<ConsentPurpose> Purposes { get; init; } = [];

    /// <summary>Who takes it back.</summary>
    public ConsentParty By { get; init; } = ConsentParty.Themself;

    /// <summary>How it was said.</summary>
    public ConsentMeans How { get; init; } = ConsentMeans.Spoken;
}

/// <summary>What the kit's screen asks now.</summary>
/// <param name="Text">The text, with the words on its two buttons.</param>
/// <param name="Place">Which of the questions this is, from 1.</param>
/// <param name="Of">How many there are.</param>
public sealed record ConsentQuestion(ConsentText Text, int Place, int Of);
