namespace TeleHearing.Audiology.Simulation;

/// <summary>How far above the simulated person's threshold a sound lies, and through which ear.</summary>
/// <remarks>
/// Two routes: through the ear under the earphone, or across the head into the other ear's cochlea, where the interaural attenuation is lost and the
/// threshold by bone decides. Room noise raises both by power.
/// </remarks>
internal sealed class TwoEars
{
    private readonly Dictionary<Ear, LogFrequencyCurve> _air = [];
    private readonly Dictionary<Ear, LogFrequencyCurve> _bone = [];
    private readonly Dictionary<Ear, LogFrequencyCurve> _output = [];
    private readonly LogFrequencyCurve _zero;
    private readonly LogFrequencyCurve _crossing;

    public TwoEars(VirtualListenerSettings settings)
    {
        _zero = AuditoryZero.Curve(settings.TransducerKind, settings.Coupler);
        _crossing = new LogFrequencyCurve((settings.InterauralAttenuationDb ?? InterauralAttenuation.Usual(settings.TransducerKind))
            .Select(pair => ((double)pair.Key, pair.Value)));
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            var rows = settings.Rows.Where(row => row.Ear == ear).ToList();
            _air[ear] = new LogFrequencyCurve(rows.Select(row => ((double)row.FrequencyHz, row.AirDbHl)));
            _bone[ear] = new LogFrequencyCurve(rows.Select(row => ((double)row.FrequencyHz, row.BoneDbHl ?? row.AirDbHl)));
            _output[ear] = new LogFrequencyCurve(settings.Output
                .Where(output => output.Ear == ear)
                .Select(output => (output.FrequencyHz, output.SplAtPeakFullScaleDb)));
        }
    }

    /// <summary>Sound pressure level in the coupler, dB.</summary>
    /// <param name="earphone">Earphone that sounds.</param>
    /// <param name="hertz">Frequency in Hz.</param>
    /// <param name="meanSquare">Mean square of the digital signal.</param>
    public double SplDb(Ear earphone, double hertz, double meanSquare) => _output[earphone].At(hertz) + (10 * Math.Log10(2 * meanSquare));

    /// <summary>The highest sound pressure level that a digital signal may come to, whatever its frequency, dB.</summary>
    public double LoudestSplDb(Ear earphone, double meanSquare) => _output[earphone].Highest + (10 * Math.Log10(2 * meanSquare));

    /// <summary>How far a sound lies above threshold, dB, and which ear hears it better.</summary>
    /// <param name="earphone">Earphone that sounds.</param>
    /// <param name="hertz">Frequency in Hz.</param>
    /// <param name="splDb">Sound pressure level in the coupler.</param>
    /// <param name="room">Room noise.</param>
    public (double SensationDb, Ear HeardBy) Hear(Ear earphone, double hertz, double splDb, RoomAtTheEar room)
    {
        var other = earphone == Ear.Right ? Ear.Left : Ear.Right;
        var level = splDb - _zero.At(hertz);
        var noise = room.LevelDbHl(hertz);
        var direct = level - PowerSum(_air[earphone].At(hertz), noise);

        // Noise reaches the other cochlea through that ear's own middle ear.
        var airBoneGap = _air[other].At(hertz) - _bone[other].At(hertz);
        var across = level - _crossing.At(hertz) - PowerSum(_bone[other].At(hertz), noise - airBoneGap);
        return direct >= across ? (direct, earphone) : (across, other);
    }

    private static double PowerSum(double firstDb, double secondDb) =>
        double.IsNegativeInfinity(secondDb) ? firstDb : 10 * Math.Log10(Math.Pow(10, firstDb / 10) + Math.Pow(10, secondDb / 10));
}
