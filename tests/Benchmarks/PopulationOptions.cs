using System.Globalization;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Benchmarks;

/// <summary>A way of measuring, as the benchmark names it.</summary>
/// <param name="Name">Name on the command line.</param>
/// <param name="Description">In words, with its source.</param>
/// <param name="Protocol">Protocol that does it.</param>
internal sealed record PopulationMethod(string Name, string Description, TestProtocol Protocol)
{
    private static readonly TestProtocol _protocol = ShippedProtocols.DiagnosticWithBone with { MaskingRules = MaskingRules.AttenuationAndGapFromTen.Name };

    public static IReadOnlyList<PopulationMethod> All { get; } =
    [
        new("ascending", "ascending, two of three (ASHA 2005)", _protocol with { Rule = StoppingRule.TwoOfThree }),
        new("ascending-full", "ascending, three of five (ISO 8253-1:2010)", _protocol with { Rule = StoppingRule.ThreeOfFive }),
        new("ascending-short", "ascending, short form, two of three ascents (ISO 8253-1:2010)", _protocol with { Rule = StoppingRule.TwoOfThreeAscents }),
        new("bracketing", "bracketing (ISO 8253-1:2010)", _protocol with { Method = ThresholdMethod.Bracketing }),
        new("estimate", "Bayesian estimate, bone and masking as above by the full form", _protocol with { Method = ThresholdMethod.Estimate }),
        new("ascending-2db", "ascending, two of three, steps of 2 dB, air without masking", Fine(2)),
        new("ascending-1db", "ascending, two of three, steps of 1 dB, air without masking", Fine(1)),
    ];

    // Masking moves the tone in steps of 5 dB.
    private static TestProtocol Fine(double stepDb) =>
        _protocol with { Rule = StoppingRule.TwoOfThree, StepDb = stepDb, MaskingRules = null, Bone = BonePlacement.None, BoneHz = [] };
}

/// <summary>What the command line asks for.</summary>
/// <param name="Ears">Cooperative ears; of each other kind of listener there are a fifth as many.</param>
/// <param name="Seed">Seed of everything.</param>
/// <param name="Methods">Methods to compare.</param>
/// <param name="Rules">Rules of masking.</param>
/// <param name="Listener">Thresholds every listener has; absent to draw them.</param>
/// <param name="Folder">Folder the results are written to.</param>
internal sealed record PopulationOptions(
    int Ears,
    int Seed,
    IReadOnlyList<PopulationMethod> Methods,
    MaskingRules Rules,
    IReadOnlyList<ListenerThreshold>? Listener,
    string Folder)
{
    private const int MostEars = 10_000_000;

    public const string Usage =
        "population [--ears N] [--seed N] [--method NAME]... [--rules NAME] [--listener FILE.csv] [--out FOLDER]";

    /// <summary>Reads the arguments after the word population. Either options, or one sentence that says what is wrong.</summary>
    public static (PopulationOptions? Options, string? Fault) Read(IReadOnlyList<string> args)
    {
        var options = new PopulationOptions(10_000, 1, [], MaskingRules.AttenuationAndGapFromTen, null, Path.Combine("artifacts", "population"));
        for (var i = 0; i < args.Count; i += 2)
        {
            if (args[i] is not ("--ears" or "--seed" or "--method" or "--rules" or "--listener" or "--out"))
            {
                return (null, $"\"{args[i]}\" is not known. Use: {Usage}");
            }

            if (i + 1 >= args.Count || args[i + 1].StartsWith("--", StringComparison.Ordinal))
            {
                return (null, $"{args[i]} needs a value.");
            }

            var (read, fault) = options.With(args[i], args[i + 1]);
            if (read is null)
            {
                return (null, fault);
            }

            options = read;
        }

        return (options.Methods.Count == 0 ? options with { Methods = [.. PopulationMethod.All.Where(method => method.Name is "ascending" or "ascending-full" or "bracketing")] } : options, null);
    }

    private (PopulationOptions? Options, string? Fault) With(string name, string value)
    {
        switch (name)
        {
            case "--ears":
                return int.TryParse(value, NumberStyles.None, CultureInfo.InvariantCulture, out var ears) && ears is >= 2 and <= MostEars
                    ? (this with { Ears = ears + (ears % 2) }, null)
                    : (null, $"--ears must be a whole number from 2 to {MostEars}, not \"{value}\".");
            case "--seed":
                return int.TryParse(value, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var seed)
                    ? (this with { Seed = seed }, null)
                    : (null, $"--seed must be a whole number, not \"{value}\".");
            case "--method":
                return PopulationMethod.All.FirstOrDefault(method => method.Name == value) is { } known
                    ? (this with { Methods = [.. Methods.Where(method => method != known), known] }, null)
                    : (null, $"There is no method \"{value}\". Choose from: {string.Join(", ", PopulationMethod.All.Select(method => method.Name))}.");
            case "--rules":
                return MaskingRules.ByName(value) is { } rules
                    ? (this with { Rules = rules }, null)
                    : (null, $"There are no masking rules \"{value}\". Choose from: {string.Join(", ", MaskingRules.All.Select(one => one.Name))}.");
            case "--listener":
                return WithListener(value);
            default:
                return File.Exists(value)
                    ? (null, $"--out names a file, {value}; a folder is needed.")
                    : (this with { Folder = value }, null);
        }
    }

    private (PopulationOptions? Options, string? Fault) WithListener(string path)
    {
        string text;
        try
        {
            text = File.ReadAllText(path);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return (null, $"The listener file {path} cannot be read: {fault.Message}");
        }

        return ListenerTable.Parse(text) switch
        {
            ListenerTable.Faulty { Faults: [var first, ..] faults } => (null, $"{path}, line {first.Line}: {first.Sentence}{(faults.Count > 1 ? $" ({faults.Count - 1} more)" : string.Empty)}"),
            ListenerTable.Read { Rows: var rows } when rows.Select(row => row.Ear).Distinct().Count() < 2 => (null, $"{path} describes one ear alone; both are needed."),
            ListenerTable.Read { Rows: var rows } => (this with { Listener = rows }, null),
            _ => (null, $"{path} holds no thresholds."),
        };
    }
}
