namespace TeleHearing.Audiology.Simulation;

/// <summary>How far above the simulated person's threshold a sound lies, and through which ear.</summary>
/// <remarks>
/// Two routes: through the ear under the earphone, or across the head into the other ear's cochlea, where the interaural attenuation is lost and the
/// threshold by bone decides. A masker reaches the cochlea of its own ear through that ear's air-bone gap and the other cochlea across the head, and whichever is higher there, threshold or
/// masker, decides (Studebaker 1964, from memory). Room noise raises both by power. Central masking is not modelled.
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

    /// <summary>Hearing level of a sound, dB.</summary>
    /// <inheritdoc cref="SplDb"/>
    public double LevelDbHl(Ear earphone, double hertz, double meanSquare) => SplDb(earphone, hertz, meanSquare) - _zero.At(hertz);

    /// <summary>How far a tone lies above threshold, dB, and which ear hears it better.</summary>
    /// <param name="earphone">Earphone that sounds.</param>
    /// <param name="hertz">Frequency in Hz.</param>
    /// <param name="levelDbHl">Hearing level.</param>
    /// <param name="room">Room noise.</param>
    /// <param name="sameDbEm">Masker in the same earphone, dB of effective masking; negative infinity for none.</param>
    /// <param name="otherDbEm">Masker in the other earphone.</param>
    public (double SensationDb, Ear HeardBy) Hear(Ear earphone, double hertz, double levelDbHl, RoomAtTheEar room, double sameDbEm = double.NegativeInfinity, double otherDbEm = double.NegativeInfinity)
    {
        var other = earphone == Ear.Right ? Ear.Left : Ear.Right;
        var noise = room.LevelDbHl(hertz);
        var across = _crossing.At(hertz);
        var (gap, otherGap) = (Gap(earphone, hertz), Gap(other, hertz));

        // Every noise reaches a cochlea through the middle ear of its own side, or across the head.
        var own = Math.Max(_bone[earphone].At(hertz), Math.Max(sameDbEm - gap, otherDbEm - across));
        var far = Math.Max(_bone[other].At(hertz), Math.Max(otherDbEm - otherGap, sameDbEm - across));
        var direct = levelDbHl - PowerSum(gap + own, noise);
        var crossed = levelDbHl - across - PowerSum(far, noise - otherGap);
        return direct >= crossed ? (direct, earphone) : (crossed, other);
    }

    private double Gap(Ear ear, double hertz) => _air[ear].At(hertz) - _bone[ear].At(hertz);

    private static double PowerSum(double firstDb, double secondDb) =>
        double.IsNegativeInfinity(secondDb) ? firstDb : 10 * Math.Log10(Math.Pow(10, firstDb / 10) + Math.Pow(10, secondDb / 10));
}
