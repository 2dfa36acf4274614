using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone.Protocols;

/// <summary>How a whole audiogram is measured, as data that a clinic edits and versions. The one that was used is stored with the result.</summary>
/// <remarks>A protocol may be put together in any way; <see cref="ProtocolRules"/> says whether it contradicts itself, and <see cref="ProtocolFile"/> lets none through that does.</remarks>
/// <param name="Id">Stable identifier: small letters, digits and hyphens.</param>
/// <param name="Version">Counts up with every change, from 1.</param>
/// <param name="Name">Name for people.</param>
/// <param name="AirHz">Frequencies by air conduction in Hz, 125 to 8000, in the order of the test.</param>
public sealed record TestProtocol(string Id, int Version, string Name, IReadOnlyList<int> AirHz)
{
    /// <summary>Method of every unmasked threshold.</summary>
    public ThresholdMethod Method { get; init; } = ThresholdMethod.Ascending;

    /// <summary>Stopping rule.</summary>
    public StoppingRule Rule { get; init; } = StoppingRule.TwoOfThree;

    /// <summary>Step in dB: 5, 2 or 1.</summary>
    public double StepDb { get; init; } = HearingLevels.StepDb;

    /// <summary>Steady or pulsed tones.</summary>
    public Signals.ToneShape Tone { get; init; } = Signals.ToneShape.Pulsed;

    /// <summary>Which ear comes first.</summary>
    public EarOrder EarOrder { get; init; }

    /// <summary>Where 1000 Hz is measured again.</summary>
    public RetestScope Retest { get; init; } = RetestScope.FirstEar;

    /// <summary>Whether further frequencies are measured again, in the same order, when 1000 Hz changed by 10 dB or more, until one agrees within 5 dB (ISO 8253-1:2010, 6.2.3, step 3); and up to three where the answers leave doubt whether they are steady.</summary>
    public bool RetestFurther { get; init; } = true;

    /// <summary>Whether 750 and 1500 Hz are added where the octaves around them differ by 20 dB or more (ANSI S3.21).</summary>
    public bool InterOctaves { get; init; } = true;

    /// <summary>Whether 125 Hz is added with a low-frequency loss (ASHA 2005): 250 Hz at 25 dB HL or worse, a boundary of this tool.</summary>
    public bool LowExtension { get; init; }

    /// <summary>Extended high frequencies in Hz, 9000 to 16 000, in the order of the test.</summary>
    public IReadOnlyList<int> ExtendedHighHz { get; init; } = [];

    /// <summary>Where bone conduction is tested, if at all.</summary>
    public BonePlacement Bone { get; init; }

    /// <summary>Frequencies by bone conduction in Hz, 250 to 4000, in the order of the test.</summary>
    public IReadOnlyList<int> BoneHz { get; init; } = [];

    /// <summary>Name of the rule set that says what must be masked; absent for a test without masking.</summary>
    public string? MaskingRules { get; init; }

    /// <summary>Step of the masker on the plateau, dB: 5 or 10.</summary>
    public double MaskerStepDb { get; init; } = 5;

    /// <summary>Whether each ear begins with the estimate of all frequencies, which then gives the starting levels.</summary>
    public bool QuickLookFirst { get; init; }

    /// <summary>Whether any threshold is estimated.</summary>
    [JsonIgnore]
    public bool Estimates => Method == ThresholdMethod.Estimate || QuickLookFirst;

    /// <summary>Chance of a silent catch trial before a tone, 0 to 0.5; about 1 in 5 to 10 is common practice.</summary>
    public double CatchRate { get; init; } = 0.2;

    /// <summary>Responses to silence at one frequency after which the task is explained again.</summary>
    public int FalseResponseLimit { get; init; } = 3;

    /// <summary>Tones at one frequency after which it ends without a threshold.</summary>
    public int MaximumPresentations { get; init; } = 60;

    /// <summary>Highest level presented, dB HL; the kit's ceilings may be lower and always hold.</summary>
    public double HighestDbHl { get; init; } = 120;

    /// <summary>Route of the bone conduction test; absent when there is none.</summary>
    public ConductionRoute? BoneRoute => Bone switch
    {
        BonePlacement.Mastoid => ConductionRoute.BoneMastoid,
        BonePlacement.Forehead => ConductionRoute.BoneForehead,
        _ => null,
    };

    /// <summary>Settings of a search under this protocol.</summary>
    /// <param name="highestPlayableDbHl">Highest level the kit may play here, dB HL.</param>
    /// <param name="roomBoundDbHl">Lowest provable level of the room; absent when not measured.</param>
    /// <param name="startDbHl">Level expected to be heard; absent when nothing is known.</param>
    public SearchSettings Settings(double highestPlayableDbHl, double? roomBoundDbHl, double? startDbHl) =>
        new(Rule, HearingLevels.LowestPresentedDbHl, Math.Min(highestPlayableDbHl, HighestDbHl), roomBoundDbHl)
        {
            StepDb = StepDb,
            StartDbHl = startDbHl,
            CatchRate = CatchRate,
            FalseResponseLimit = FalseResponseLimit,
            MaximumPresentations = MaximumPresentations,
            RestartsAfterInstruction = 1,
        };

    /// <inheritdoc />
    public bool Equals(TestProtocol? other) =>
        other is not null && Scalars.Equals(other.Scalars) && AirHz.SequenceEqual(other.AirHz) && BoneHz.SequenceEqual(other.BoneHz) && ExtendedHighHz.SequenceEqual(other.ExtendedHighHz);

    /// <inheritdoc />
    public override int GetHashCode() => HashCode.Combine(Id, Version, Name, AirHz.Count, BoneHz.Count);

    private object Scalars => (
        (Id, Version, Name, Method, Rule, StepDb, Tone),
        (EarOrder, Retest, RetestFurther, InterOctaves, LowExtension, Bone),
        (MaskingRules, MaskerStepDb, QuickLookFirst, CatchRate, FalseResponseLimit, MaximumPresentations, HighestDbHl));
}
