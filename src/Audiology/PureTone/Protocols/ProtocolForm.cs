using System.Globalization;
using System.Text.Json;

namespace TeleHearing.Audiology.PureTone.Protocols;

/// <summary>The fields of a protocol file: their names, kinds and words.</summary>
internal sealed class ProtocolForm
{
    private const string NoMasking = "none";

    private static readonly (string Word, ThresholdMethod Value)[] _methods =
        [("ascending", ThresholdMethod.Ascending), ("bracketing", ThresholdMethod.Bracketing), ("estimate", ThresholdMethod.Estimate)];

    private static readonly (string Word, StoppingRule Value)[] _stoppingRules =
        [("two-of-three", StoppingRule.TwoOfThree), ("three-of-five", StoppingRule.ThreeOfFive), ("two-of-three-ascents", StoppingRule.TwoOfThreeAscents)];

    private static readonly (string Word, Signals.ToneShape Value)[] _tones = [("steady", Signals.ToneShape.Steady), ("pulsed", Signals.ToneShape.Pulsed)];

    private static readonly (string Word, EarOrder Value)[] _earOrders =
        [("better-first", EarOrder.BetterFirst), ("right-first", EarOrder.RightFirst), ("left-first", EarOrder.LeftFirst)];

    private static readonly (string Word, RetestScope Value)[] _retests =
        [("none", RetestScope.None), ("first-ear", RetestScope.FirstEar), ("both-ears", RetestScope.BothEars)];

    private static readonly (string Word, BonePlacement Value)[] _placements =
        [("none", BonePlacement.None), ("mastoid", BonePlacement.Mastoid), ("forehead", BonePlacement.Forehead)];

    private static readonly string[] _names = [.. Written(ShippedProtocols.Standard).Select(field => field.Name)];

    private readonly Dictionary<string, ProtocolField> _fields = [];
    private readonly List<ProtocolFileFault> _faults = [];
    private readonly HashSet<string> _unread = [];

    public ProtocolForm(IReadOnlyList<ProtocolField> fields)
    {
        foreach (var field in fields)
        {
            if (!_names.Contains(field.Name))
            {
                _faults.Add(new ProtocolFileFault(field.Line, $"There is no field \"{Shown(field.Name)}\". The fields are {string.Join(", ", _names)}."));
            }
            else if (!_fields.TryAdd(field.Name, field))
            {
                _faults.Add(new ProtocolFileFault(field.Line, $"The field \"{field.Name}\" stands there twice, first in line {_fields[field.Name].Line}."));
            }
        }
    }

    /// <summary>What could not be read.</summary>
    public IReadOnlyList<ProtocolFileFault> Faults => _faults;

    /// <summary>Whether the values a fault speaks of could all be read; of one that could not, nothing can be said.</summary>
    public bool IsRead(ProtocolFault fault) => !_unread.Contains(fault.Field) && (fault.With is null || !_unread.Contains(fault.With));

    /// <summary>The line of a fault: that of the value when it is one of a list, else of the field, else the first.</summary>
    public int LineOf(ProtocolFault fault) =>
        !_fields.TryGetValue(fault.Field, out var field) ? 1
        : fault.Item is { } item && item < field.Values.Count ? field.Values[item].Line
        : field.Line;

    /// <summary>The protocol as far as it could be read; faults are added to <see cref="Faults"/>.</summary>
    public TestProtocol Protocol()
    {
        var standard = new TestProtocol(Required("id", ""), (int)Number("version", null, whole: true), Required("name", ""), List("airHz", required: true));
        var octaves = standard.AirHz.Contains(1000) && (standard.AirHz.Contains(500) || standard.AirHz.Contains(2000));
        var retest = Word("retest", _retests, standard.AirHz.Contains(1000) ? standard.Retest : RetestScope.None);
        var masking = Text("maskingRules", NoMasking);
        return standard with
        {
            Method = Word("method", _methods, standard.Method),
            Rule = Word("stoppingRule", _stoppingRules, standard.Rule),
            StepDb = Number("stepDb", standard.StepDb),
            Tone = Word("tone", _tones, standard.Tone),
            EarOrder = Word("earOrder", _earOrders, standard.EarOrder),
            Retest = retest,
            RetestFurther = Flag("retestFurther", retest != RetestScope.None),
            InterOctaves = Flag("interOctaves", octaves),
            LowExtension = Flag("lowExtension", standard.LowExtension),
            ExtendedHighHz = List("extendedHighHz", required: false),
            Bone = Word("bone", _placements, standard.Bone),
            BoneHz = List("boneHz", required: false),
            MaskingRules = masking == NoMasking ? null : masking,
            MaskerStepDb = Number("maskerStepDb", standard.MaskerStepDb),
            QuickLookFirst = Flag("quickLookFirst", standard.QuickLookFirst),
            CatchRate = Number("catchRate", standard.CatchRate),
            FalseResponseLimit = (int)Number("falseResponseLimit", standard.FalseResponseLimit, whole: true),
            MaximumPresentations = (int)Number("maximumPresentations", standard.MaximumPresentations, whole: true),
            HighestDbHl = Number("highestDbHl", standard.HighestDbHl),
        };
    }

    /// <summary>Every field of a protocol with its value as JSON, in the order of the file.</summary>
    public static IReadOnlyList<(string Name, string Json)> Written(TestProtocol protocol) =>
    [
        ("id", Json(protocol.Id)),
        ("version", Json(protocol.Version)),
        ("name", Json(protocol.Name)),
        ("method", Json(WordOf(_methods, protocol.Method))),
        ("stoppingRule", Json(WordOf(_stoppingRules, protocol.Rule))),
        ("stepDb", Json(protocol.StepDb)),
        ("tone", Json(WordOf(_tones, protocol.Tone))),
        ("earOrder", Json(WordOf(_earOrders, protocol.EarOrder))),
        ("airHz", Json(protocol.AirHz)),
        ("retest", Json(WordOf(_retests, protocol.Retest))),
        ("retestFurther", Json(protocol.RetestFurther)),
        ("interOctaves", Json(protocol.InterOctaves)),
        ("lowExtension", Json(protocol.LowExtension)),
        ("extendedHighHz", Json(protocol.ExtendedHighHz)),
        ("bone", Json(WordOf(_placements, protocol.Bone))),
        ("boneHz", Json(protocol.BoneHz)),
        ("maskingRules", Json(protocol.MaskingRules ?? NoMasking)),
        ("maskerStepDb", Json(protocol.MaskerStepDb)),
        ("quickLookFirst", Json(protocol.QuickLookFirst)),
        ("catchRate", Json(protocol.CatchRate)),
        ("falseResponseLimit", Json(protocol.FalseResponseLimit)),
        ("maximumPresentations", Json(protocol.MaximumPresentations)),
        ("highestDbHl", Json(protocol.HighestDbHl)),
    ];

    private string Required(string name, string instead)
    {
        Require(name);
        return Text(name, instead);
    }

    private string Text(string name, string instead) => Single<string>(name, "a text in quotes") ?? instead;

    private bool Flag(string name, bool instead) => Single<bool?>(name, "true or false") ?? instead;

    private double Number(string name, double? instead, bool whole = false)
    {
        if (instead is null)
        {
            Require(name);
        }

        var value = Single<double?>(name, "a number");
        if (value is { } number && whole && !(number % 1 == 0 && Math.Abs(number) <= int.MaxValue))
        {
            Fault(name, $"The field \"{name}\" must be a whole number.");
            return instead ?? 0;
        }

        return value ?? instead ?? 0;
    }

    private T Word<T>(string name, (string Word, T Value)[] words, T instead)
    {
        if (Single<string>(name, "a text in quotes") is not { } text)
        {
            return instead;
        }

        foreach (var (word, value) in words)
        {
            if (word == text)
            {
                return value;
            }
        }

        Fault(name, $"The field \"{name}\" cannot be \"{Shown(text)}\". Use {string.Join(", ", words.Select(pair => pair.Word))}.");
        return instead;
    }

    private List<int> List(string name, bool required)
    {
        if (required)
        {
            Require(name);
        }

        if (!_fields.TryGetValue(name, out var field))
        {
            return [];
        }

        var hertz = new List<int>();
        foreach (var value in field.IsList ? field.Values : [new ProtocolValue(field.Line, null)])
        {
            if (value.Value is double number && number % 1 == 0 && number is > 0 and < 100_000)
            {
                hertz.Add((int)number);
            }
            else
            {
                _unread.Add(name);
                _faults.Add(new ProtocolFileFault(value.Line, $"The field \"{name}\" must be a list of frequencies in Hz, whole numbers{(value.Value is double other ? Say($"; {other} is none") : string.Empty)}."));
            }
        }

        return hertz;
    }

    private T? Single<T>(string name, string kind)
    {
        if (!_fields.TryGetValue(name, out var field))
        {
            return default;
        }

        if (!field.IsList && field.Values[0].Value is T value)
        {
            return value;
        }

        Fault(name, $"The field \"{name}\" must be {kind}.");
        return default;
    }

    private void Require(string name)
    {
        if (!_fields.ContainsKey(name))
        {
            _unread.Add(name);
            _faults.Add(new ProtocolFileFault(1, $"The field \"{name}\" is missing."));
        }
    }

    private void Fault(string name, string sentence)
    {
        _unread.Add(name);
        _faults.Add(new ProtocolFileFault(_fields[name].Line, sentence));
    }

    private static string Say(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private static string WordOf<T>((string Word, T Value)[] words, T value) => words.First(pair => Equals(pair.Value, value)).Word;

    // What a file says is repeated only as far as it fits a sentence.
    private static string Shown(string text) => text.Length <= 40 ? text : text[..40] + "…";

    private static string Json(string text) => JsonSerializer.Serialize(text);

    private static string Json(bool flag) => flag ? "true" : "false";

    private static string Json(double number) => number.ToString("R", CultureInfo.InvariantCulture);

    private static string Json(IReadOnlyList<int> list) => $"[{string.Join(", ", list.Select(hertz => hertz.ToString(CultureInfo.InvariantCulture)))}]";
}
