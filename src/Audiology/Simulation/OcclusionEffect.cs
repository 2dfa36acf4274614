using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Simulation;

/// <summary>How much better bone-conducted sound is heard by an ear that an earphone covers, dB.</summary>
/// <remarks>
/// Supra-aural: 15, 15 and 10 dB at 250, 500 and 1000 Hz, nothing above (Martin and Clark, as summarised by others). Circumaural: taken as supra-aural, an assumption. Insert: 10 dB at 250 and 500 Hz, since
/// measurements find an effect at every depth (Stenfelt and Reinfeldt 2007, Int J Audiol), the numbers being common practice. Used by the simulated person only.
/// </remarks>
public static class OcclusionEffect
{
    private static readonly Dictionary<int, double> _cushion = new() { [250] = 15, [500] = 15, [1000] = 10, [2000] = 0 };
    private static readonly Dictionary<int, double> _insert = new() { [250] = 10, [500] = 10, [1000] = 0 };

    /// <summary>Effect by frequency in Hz, dB.</summary>
    public static IReadOnlyDictionary<int, double> Usual(TransducerKind kind) => kind is TransducerKind.Insert or TransducerKind.HighFrequencyInsert ? _insert : _cushion;
}
