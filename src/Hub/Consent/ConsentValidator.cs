using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Consent;

/// <summary>Checks the content of what is said about consent.</summary>
internal static class ConsentValidator
{
    public static void Check(AnswerConsent answer, Faults faults)
    {
        var replies = answer.Replies?.Where(reply => reply is not null).ToList() ?? [];
        faults.Need(replies.Count > 0 && replies.Count == answer.Replies!.Count, "No purpose is answered.");
        replies.ForEach(reply => faults.Known(reply.Purpose, "purpose"));
        replies.ForEach(reply => faults.Need(reply.TextVersion > 0, "The version of a text is missing."));
        faults.Need(replies.Select(reply => reply.Purpose).Distinct().Count() == replies.Count, "A purpose is answered twice.");
        Language(answer.Language, faults);
        Party(answer.By, faults);
        faults.Known(answer.How, "way of answering");
        faults.Need(answer.How != ConsentMeans.KitScreen, "What is pressed on the kit's screen is recorded by the kit.");
    }

    public static void Check(AskConsentOnScreen ask, Faults faults)
    {
        faults.Need(ask.Purposes is { Count: > 0 }, "No purpose is asked.");
        foreach (var purpose in ask.Purposes ?? [])
        {
            faults.Known(purpose, "purpose");
        }

        faults.Need(ask.Purposes is null || ask.Purposes.Distinct().Count() == ask.Purposes.Count, "A purpose is asked twice.");
        Language(ask.Language, faults);
        Party(ask.By, faults);
    }

    public static void Check(WithdrawConsent withdraw, Faults faults)
    {
        faults.Text(withdraw.Reason, "the reason");
        faults.Need(withdraw.Purposes is not null, "The purposes are missing; an empty list means all.");
        foreach (var purpose in withdraw.Purposes ?? [])
        {
            faults.Known(purpose, "purpose");
        }

        Party(withdraw.By, faults);
        faults.Known(withdraw.How, "way of saying so");
    }

    /// <summary>Whether a language is a tag such as "en" or "pt-BR" (BCP 47: subtags of letters and digits parted by hyphens, the first of two or three letters).</summary>
    public static bool IsLanguage(string? tag) => tag is { Length: > 1 and <= 35 }
        && tag.Split('-') is [var first, .. var rest]
        && first.Length is 2 or 3 && first.All(char.IsAsciiLetter)
        && rest.All(part => part.Length is > 0 and <= 8 && part.All(char.IsAsciiLetterOrDigit));

    /// <summary>What is wrong with a text the clinic hands in.</summary>
    public static IReadOnlyList<string> Faults(ConsentText? text)
    {
        var faults = new Faults();
        if (text is null)
        {
            return ["The text is missing."];
        }

        faults.Known(text.Purpose, "purpose");
        Language(text.Language, faults);
        faults.Need(text.Version > 0, string.Create(CultureInfo.InvariantCulture, $"Version {text.Version} is none; versions count from 1."));
        faults.Line(text.Title, "the question");
        faults.Text(text.Body, "what it means");
        faults.Line(text.Agree, "the words that agree");
        faults.Line(text.Decline, "the words that decline");
        faults.Line(text.TakeBack, "the words that take it back");
        faults.Need(text.Agree?.Trim() != text.Decline?.Trim(), "The two buttons say the same.");
        return faults.All;
    }

    private static void Language(string? language, Faults faults) => faults.Need(IsLanguage(language), "The language is no tag such as \"en\" or \"es\".");

    /// <summary>Who answers or takes back.</summary>
    public static void Party(ConsentParty? by, Faults faults)
    {
        faults.Need(by is { AsWritten: null }, "Who answers is missing.");
        faults.OptionalText(by?.Doubt, "the doubt");
        if (by is { Substitute: not null } or { Capacity: not null })
        {
            faults.Line(by.Substitute, "the substitute's name");
            faults.Line(by.Capacity, "in what capacity the substitute answers");
        }
    }
}
