using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.PureTone;

/// <summary>The kinds of answering that are held against what a person did.</summary>
internal enum ListenerKind
{
    /// <summary>Answers tones alone: false alarms up to 5 %, lapses up to 2 %, a spread of 1 to 4 dB.</summary>
    Cooperative,

    /// <summary>Presses without cause: false alarms of 20 % and more.</summary>
    Presses,

    /// <summary>What is worth an answer changes from tone to tone: a spread of 8 dB and more.</summary>
    Inconsistent,
}

/// <summary>Listeners of known kind, and how likely each makes an answer: P = g + (1 - g - l) Phi((L - T) / sd).</summary>
/// <remarks>The ranges are those of simulation studies (spread 1 to 4 dB, lapses to 5 %, false alarms to 20 %), assumptions and not norms; which count as cooperative is a design choice.</remarks>
internal static class ListenerModels
{
    /// <summary>Silence before a tone in which a press is seen, as a share of the time in which an answer is taken: about 1 s of 2.25 s.</summary>
    private const double WaitingShare = 0.47;

    /// <summary>Fineness of the tables, dB.</summary>
    private const double GridDb = 0.5;
    private const int Reach = 120;

    private static readonly (ListenerKind Kind, double FalseAlarms, double Lapses, double SdDb)[] _models =
    [
        (ListenerKind.Cooperative, 0.005, 0.01, 1), (ListenerKind.Cooperative, 0.005, 0.01, 2), (ListenerKind.Cooperative, 0.005, 0.02, 4),
        (ListenerKind.Cooperative, 0.025, 0.01, 2), (ListenerKind.Cooperative, 0.025, 0.02, 4),
        (ListenerKind.Cooperative, 0.05, 0.01, 1), (ListenerKind.Cooperative, 0.05, 0.02, 2), (ListenerKind.Cooperative, 0.05, 0.02, 4),
        (ListenerKind.Presses, 0.2, 0.02, 1.5), (ListenerKind.Presses, 0.2, 0.02, 4), (ListenerKind.Presses, 0.4, 0.02, 3),
        (ListenerKind.Inconsistent, 0.025, 0.02, 8), (ListenerKind.Inconsistent, 0.025, 0.02, 11),
    ];

    // Logarithms of the chance of a response and of none, by model and by level above threshold.
    private static readonly double[][] _heard = [.. Enumerable.Range(0, _models.Length).Select(model => Table(model, heard: true))];
    private static readonly double[][] _missed = [.. Enumerable.Range(0, _models.Length).Select(model => Table(model, heard: false))];

    public static int Count => _models.Length;

    public static ListenerKind KindOf(int model) => _models[model].Kind;

    /// <summary>Logarithm of the chance that silence in place of a tone was answered or not.</summary>
    public static double Silence(int model, bool answered) => Math.Log(answered ? _models[model].FalseAlarms : 1 - _models[model].FalseAlarms);

    /// <summary>Logarithm of the chance that the silence before a tone held a press or not.</summary>
    public static double Waiting(int model, bool pressed)
    {
        var calm = Math.Pow(1 - _models[model].FalseAlarms, WaitingShare);
        return Math.Log(pressed ? 1 - calm : calm);
    }

    /// <summary>Logarithms of the chances of a response and of none to a tone.</summary>
    /// <param name="model">Model.</param>
    /// <param name="sensationDb">Level above threshold, dB.</param>
    public static (double Heard, double Missed) Tone(int model, double sensationDb)
    {
        var place = Math.Clamp((int)Math.Round(sensationDb / GridDb) + Reach, 0, 2 * Reach);
        return (_heard[model][place], _missed[model][place]);
    }

    private static double[] Table(int model, bool heard)
    {
        var (_, falseAlarms, lapses, sdDb) = _models[model];
        var function = new PsychometricFunction(0, sdDb, lapses, falseAlarms);
        return [.. Enumerable.Range(-Reach, (2 * Reach) + 1).Select(place =>
        {
            var chance = function.Probability(place * GridDb);
            return Math.Log(heard ? chance : 1 - chance);
        })];
    }
}
