using System.Collections.Immutable;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Consent;

/// <summary>Consent of one person in one session: every answer as an entry, in order. Pure and immutable; made from the session's events alone.</summary>
internal sealed record ConsentLedger
{
    public static ConsentLedger Empty { get; } = new();

    /// <summary>Every entry, oldest first. An entry taken back says so itself.</summary>
    public ImmutableList<ConsentEntry> Entries { get; init; } = [];

    /// <summary>Whether anything is given and not taken back.</summary>
    public bool AnyGiven => ConsentPurposes.All.Any(Covers);

    /// <summary>What is given and not taken back.</summary>
    public IReadOnlyList<ConsentPurpose> Covered => [.. ConsentPurposes.All.Where(Covers)];

    /// <summary>The newest entry of each purpose that was answered, in the order of purposes.</summary>
    public IReadOnlyList<ConsentEntry> Newest => [.. ConsentPurposes.All.Select(Of).OfType<ConsentEntry>()];

    /// <summary>Whether consent to a purpose holds now: the last answer was yes, and it was not taken back.</summary>
    public bool Covers(ConsentPurpose purpose) => Of(purpose) is { Standing: ConsentStanding.Given };

    /// <summary>The newest entry of a purpose; absent when it was never answered.</summary>
    public ConsentEntry? Of(ConsentPurpose purpose) => Entries.FindLast(entry => entry.Purpose == purpose);

    /// <summary>Why a use is refused, naming every purpose that is missing; absent when all are covered.</summary>
    public Refusal? WhyNot(params IEnumerable<ConsentPurpose> purposes)
    {
        var missing = purposes.Where(purpose => !Covers(purpose)).ToList();
        return missing.Count == 0
            ? null
            : new Refusal(
                RefusalCodes.ConsentMissing,
                $"There is no consent to {string.Join(" or to ", missing.Select(ConsentPurposes.InWords))}{string.Join(string.Empty, missing.Take(1).Select(Standing))}. Nothing was done.",
                "Ask the person. Go on with it only when they agree; otherwise leave it out.");
    }

    public ConsentLedger With(params IEnumerable<ConsentEntry> answered) => this with { Entries = Entries.AddRange(answered) };

    /// <summary>Takes back what is given among these purposes.</summary>
    public ConsentLedger Without(IEnumerable<ConsentPurpose> purposes, ConsentWithdrawal withdrawal) =>
        purposes.Distinct().Where(Covers).Aggregate(this, (ledger, purpose) => ledger with
        {
            Entries = ledger.Entries.Replace(ledger.Of(purpose)!, ledger.Of(purpose)! with { Standing = ConsentStanding.Withdrawn, Withdrawn = withdrawal }),
        });

    private string Standing(ConsentPurpose purpose) => Of(purpose)?.Standing switch
    {
        ConsentStanding.Declined => " (declined)",
        ConsentStanding.Withdrawn => " (taken back)",
        _ => " (not asked)",
    };
}
