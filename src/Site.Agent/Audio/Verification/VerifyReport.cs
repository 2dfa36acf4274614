using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>What a verification found.</summary>
/// <param name="MadeAt">When.</param>
/// <param name="Device">The output.</param>
/// <param name="Recorded">What was recorded.</param>
/// <param name="Absolute">Whether levels are absolute: the recording was of the very samples played.</param>
/// <param name="Certificate">Certificate whose calibration gave the levels; absent for levels of digital full scale.</param>
/// <param name="Quick">Whether only a few frequencies and levels were played.</param>
/// <param name="Findings">Everything measured.</param>
internal sealed record VerifyReport(DateTimeOffset MadeAt, string Device, string Recorded, bool Absolute, string? Certificate, bool Quick, IReadOnlyList<Finding> Findings)
{
    public const string HtmlFile = "report.html";
    public const string JsonFile = "report.json";

    // exact silence has a level of minus infinity
    private static readonly JsonSerializerOptions _json = Protocol.Configure(new JsonSerializerOptions { WriteIndented = true, NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals });

    /// <summary>Whether every limit that was judged is kept.</summary>
    public bool Passed => Count(Verdict.NotKept) == 0;

    /// <summary>How many limits were judged.</summary>
    public int Judged => Count(Verdict.Kept) + Count(Verdict.NotKept);

    /// <summary>The verdict over everything, in one sentence.</summary>
    [JsonIgnore]
    public string Headline => Passed
        ? $"All {Numbers.Count(Judged)} limits that were judged are kept."
        : $"{Numbers.Count(Count(Verdict.NotKept))} of the {Numbers.Count(Judged)} limits that were judged {(Count(Verdict.NotKept) == 1 ? "is" : "are")} not kept.";

    /// <summary>Findings by topic.</summary>
    [JsonIgnore]
    public IReadOnlyList<(string Topic, IReadOnlyList<Finding> Findings)> Topics => [.. Findings.GroupBy(finding => finding.Topic).OrderBy(group => Verification.Topics.Place(group.Key)).Select(group => (group.Key, (IReadOnlyList<Finding>)[.. group]))];

    /// <summary>How many findings have a verdict.</summary>
    public int Count(Verdict verdict) => Findings.Count(finding => finding.Verdict == verdict);

    /// <summary>Writes both files.</summary>
    public async Task WriteAsync(string folder, CancellationToken cancellationToken)
    {
        Directory.CreateDirectory(folder);
        await File.WriteAllBytesAsync(Path.Combine(folder, JsonFile), JsonSerializer.SerializeToUtf8Bytes(this, _json), cancellationToken);
        await File.WriteAllTextAsync(Path.Combine(folder, HtmlFile), new VerifyPage(this).Html(), cancellationToken);
    }

    /// <summary>One line for each topic, and a header over them.</summary>
    public IEnumerable<string> Summary() =>
    [
        $"{string.Empty,-36}{string.Concat(VerdictWords.Order.Select(verdict => $"{VerdictWords.Of(verdict),16}"))}   measured",
        .. Topics.Select(topic => string.Create(
            CultureInfo.InvariantCulture,
            $"{topic.Topic,-36}{string.Concat(VerdictWords.Order.Select(verdict => $"{topic.Findings.Count(finding => finding.Verdict == verdict),16}"))}   {Numbers.Range([.. topic.Findings])}")),
    ];
}
