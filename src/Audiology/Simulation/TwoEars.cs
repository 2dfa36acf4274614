using TeleHearing.Audiology.PureTone;

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
    private readonly Dictionary<Ear, LogFrequencyCurve> _force = [];
    private readonly LogFrequencyCurve _zero;
    private readonly LogFrequencyCurve _crossing;
    private readonly LogFrequencyCurve _boneCrossing;
    private readonly LogFrequencyCurve _occlusion;
    private LogFrequencyCurve _forceZero = AuditoryZero.Force(ConductionRoute.BoneMastoid);
    private VibratorWorn? _vibrator;

    public TwoEars(VirtualListenerSettings settings)
    {
        _zero = AuditoryZero.Curve(settings.TransducerKind, settings.Coupler);
        _crossing = Curve(settings.InterauralAttenuationDb ?? InterauralAttenuation.Usual(settings.TransducerKind));
        _boneCrossing = Curve(settings.BoneInterauralAttenuationDb ?? new Dictionary<int, double> { [1000] = 0 });
        _occlusion = Curve(settings.OcclusionEffectDb ?? OcclusionEffect.Usual(settings.TransducerKind));
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            var rows = settings.Rows.Where(row => row.Ear == ear).ToList();
            _air[ear] = new LogFrequencyCurve(rows.Select(row => ((double)row.FrequencyHz, row.AirDbHl)));
            _bone[ear] = new LogFrequencyCurve(rows.Select(row => ((double)row.FrequencyHz, row.BoneDbHl ?? row.AirDbHl)));
            _output[ear] = new LogFrequencyCurve(settings.Output
                .Where(output => output.Ear == ear)
                .Select(output => (output.FrequencyHz, output.SplAtPeakFullScaleDb)));
            if (settings.VibratorOutput.Any(output => output.Ear == ear))
            {
                _force[ear] = new LogFrequencyCurve(settings.VibratorOutput.Where(output => output.Ear == ear).Select(output => (output.FrequencyHz, output.SplAtPeakFullScaleDb)));
            }
        }
    }

    /// <summary>Puts a vibrator on, or earphones on both ears (absent).</summary>
    /// <exception cref="ArgumentException">There is no vibrator on that channel, or the route is by air.</exception>
    public void Wear(VibratorWorn? vibrator)
    {
        if (vibrator is not null && (vibrator.Route == ConductionRoute.Air || !_force.ContainsKey(vibrator.Channel)))
        {
            throw new ArgumentException("There is no such vibrator.", nameof(vibrator));
        }

        _vibrator = vibrator;
        _forceZero = AuditoryZero.Force(vibrator?.Route ?? ConductionRoute.BoneMastoid);
    }

    /// <summary>Sound pressure level in the coupler, dB re 20 µPa; on the channel of the vibrator the force level, dB re 1 µN.</summary>
    /// <param name="earphone">Earphone that sounds.</param>
    /// <param name="hertz">Frequency in Hz.</param>
    /// <param name="meanSquare">Mean square of the digital signal.</param>
    public double SplDb(Ear earphone, double hertz, double meanSquare) => Output(earphone).At(hertz) + (10 * Math.Log10(2 * meanSquare));

    /// <summary>The highest sound pressure level that a digital signal may come to, whatever its frequency, dB.</summary>
    public double LoudestSplDb(Ear earphone, double meanSquare) => Output(earphone).Highest + (10 * Math.Log10(2 * meanSquare));

    /// <summary>Hearing level of a sound, dB.</summary>
    /// <inheritdoc cref="SplDb"/>
    public double LevelDbHl(Ear earphone, double hertz, double meanSquare) => SplDb(earphone, hertz, meanSquare) - (IsVibrator(earphone) ? _forceZero : _zero).At(hertz);

    /// <summary>How far a tone lies above threshold, dB, and which ear hears it better.</summary>
    /// <param name="earphone">Earphone that sounds.</param>
    /// <param name="hertz">Frequency in Hz.</param>
    /// <param name="levelDbHl">Hearing level.</param>
    /// <param name="room">Room noise.</param>
    /// <param name="sameDbEm">Masker in the same earphone, dB of effective masking; negative infinity for none.</param>
    /// <param name="otherDbEm">Masker in the other earphone.</param>
    public (double SensationDb, Ear HeardBy) Hear(Ear earphone, double hertz, double levelDbHl, RoomAtTheEar room, double sameDbEm = double.NegativeInfinity, double otherDbEm = double.NegativeInfinity)
    {
        if (IsVibrator(earphone))
        {
            return HearBone(earphone, hertz, levelDbHl, room, otherDbEm);
        }

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

    /// <summary>Bone conduction: both cochleas are reached, the other one with the occlusion effect of the earphone that covers its ear, which a conductive loss there uses up (common practice).</summary>
    private (double SensationDb, Ear HeardBy) HearBone(Ear test, double hertz, double levelDbHl, RoomAtTheEar room, double maskerDbEm)
    {
        var other = test == Ear.Right ? Ear.Left : Ear.Right;
        var (gap, otherGap) = (Gap(test, hertz), Gap(other, hertz));
        var own = Math.Max(_bone[test].At(hertz), maskerDbEm - _crossing.At(hertz));
        var far = Math.Max(_bone[other].At(hertz), maskerDbEm - otherGap);
        var occlusion = Math.Max(0, _occlusion.At(hertz) - Math.Max(0, otherGap));
        var direct = levelDbHl - PowerSum(own, room.LevelDbHl(hertz, open: true) - gap);
        var crossed = levelDbHl - _boneCrossing.At(hertz) + occlusion - PowerSum(far, room.LevelDbHl(hertz) - otherGap);
        return direct >= crossed ? (direct, test) : (crossed, other);
    }

    private bool IsVibrator(Ear channel) => _vibrator?.Channel == channel;

    private LogFrequencyCurve Output(Ear channel) => IsVibrator(channel) ? _force[channel] : _output[channel];

    private static LogFrequencyCurve Curve(IReadOnlyDictionary<int, double> points) => new(points.Select(pair => ((double)pair.Key, pair.Value)));

    private double Gap(Ear ear, double hertz) => _air[ear].At(hertz) - _bone[ear].At(hertz);

    private static double PowerSum(double firstDb, double secondDb) =>
        double.IsNegativeInfinity(secondDb) ? firstDb : 10 * Math.Log10(Math.Pow(10, firstDb / 10) + Math.Pow(10, secondDb / 10));
}
