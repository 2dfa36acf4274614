namespace TeleHearing.Contracts.Tests;

/// <summary>One of each thing that is asked about the data of a hub, and answers.</summary>
internal static class DataSamples
{
    private static readonly ErasureView _erasure = new(1, [new KeptView("session 0196f3a0-0000-7000-8000-000000000002", new DateOnly(2036, 3, 2), "Records of care are kept for 10 years after their last entry; ask again after that day.")]);

    public static IReadOnlyList<DataAsk> Asks { get; } = [new BackUp("a sentence nobody guesses"), new ExportPerson("P-0107"), new ErasePerson("P-0107", "asked for by the person", 10), new ReadErasures()];

    public static IReadOnlyList<DataReply> Replies { get; } =
    [
        new(new Guid("0196f3a0-0000-4000-8000-000000000001"), null, null, null),
        new(null, _erasure, null, null),
        new(null, null, [new ErasureEntry(new DateTimeOffset(2026, 3, 2, 10, 0, 0, TimeSpan.Zero), "P-0107", "asked for by the person", _erasure)], null),
        new(null, null, null, new Refusal(RefusalCodes.Invalid, "There is nobody with this reference.", "Give the reference as it stands on the session.")),
    ];
}
