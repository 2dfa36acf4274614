using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What consent is asked for. A closed set: each purpose covers what is named here and nothing else.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ConsentPurpose>))]
public enum ConsentPurpose
{
    /// <summary>The hearing test itself. Needed.</summary>
    Care,

    /// <summary>Doing it at a distance. Needed.</summary>
    RemoteMode,

    /// <summary>The assistant's presence and help.</summary>
    Assistant,

    /// <summary>Pictures of the ear or the person, taken or kept.</summary>
    Images,

    /// <summary>Recording sound or picture of the session.</summary>
    Recording,

    /// <summary>Handing results to others.</summary>
    Sharing,

    /// <summary>Borrowing the kit.</summary>
    Loan,
}

/// <summary>Facts about purposes, the same for hub, console and kit.</summary>
public static class ConsentPurposes
{
    /// <summary>Every purpose, in the order they are asked.</summary>
    public static IReadOnlyList<ConsentPurpose> All { get; } = Enum.GetValues<ConsentPurpose>();

    /// <summary>What is asked in a session. Borrowing the kit is asked with the paper of the loan, which packing and sending look at.</summary>
    public static IReadOnlyList<ConsentPurpose> InSession { get; } = [.. All.Where(purpose => purpose != ConsentPurpose.Loan)];

    /// <summary>What must be covered before anything is measured.</summary>
    public static IReadOnlyList<ConsentPurpose> Needed { get; } = [ConsentPurpose.Care, ConsentPurpose.RemoteMode];

    /// <summary>Whether testing ends when this is taken back: what is done to the person now rests on it.</summary>
    public static bool EndsTesting(ConsentPurpose purpose) => purpose is ConsentPurpose.Care or ConsentPurpose.RemoteMode or ConsentPurpose.Assistant;

    /// <summary>In a sentence: "consent to ...".</summary>
    public static string InWords(ConsentPurpose purpose) => purpose switch
    {
        ConsentPurpose.Care => "the hearing test",
        ConsentPurpose.RemoteMode => "doing it at a distance",
        ConsentPurpose.Assistant => "an assistant being present",
        ConsentPurpose.Images => "pictures",
        ConsentPurpose.Recording => "recording",
        ConsentPurpose.Sharing => "sharing results with others",
        ConsentPurpose.Loan => "borrowing the kit",
        _ => purpose.ToString(),
    };

    /// <summary>Purposes a step rests on, besides those of everything measured.</summary>
    public static IReadOnlyList<ConsentPurpose> Of(StepRequest request) =>
        request is WearGearStep ? [.. Needed, ConsentPurpose.Assistant] : Needed;
}
