using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Simulation;

/// <summary>How much of a tone under one earphone is lost on its way through the head to the other ear, dB.</summary>
/// <remarks>
/// Supra-aural: means of Chaiklin 1967, J Aud Res 7:413, from memory. Circumaural: taken as supra-aural, an assumption. Insert, deep: about 80 dB on
/// average (Killion 1985; Sklare and Denenberg 1987, as summarised by others). Used by the simulated person only, never to decide on a real one.
/// </remarks>
public static class InterauralAttenuation
{
    private static readonly Dictionary<int, double> _supraAural = new()
    {
        [125] = 39, [250] = 51, [500] = 59, [1000] = 61, [2000] = 61, [4000] = 70, [8000] = 65,
    };

    private static readonly Dictionary<int, double> _insert = new() { [1000] = 80 };

    /// <summary>Attenuation by frequency in Hz, dB; interpolated between by the listener.</summary>
    public static IReadOnlyDictionary<int, double> Usual(TransducerKind kind) => kind is TransducerKind.Insert or TransducerKind.HighFrequencyInsert ? _insert : _supraAural;
}
