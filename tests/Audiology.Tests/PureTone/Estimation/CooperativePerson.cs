using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Simulation;
using TeleHearing.Audiology.Tests.Simulation;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

/// <summary>People who do as they were told: false alarms up to 5 %, lapses up to 2 %, spreads of 1 to 4 dB, each drawn evenly.</summary>
/// <remarks>
/// Four in five are screened people of 18 to 80 years (ISO 7029:2017), one in five hears like one of the ten standard audiograms (Bisgaard, Vlaming and Dahlquist 2010). The standard gives
/// no correlations: half of the variance is shared by both ears, a fifth by one ear, the rest belongs to the frequency (assumptions, not those of the prior).
/// </remarks>
internal sealed class CooperativePerson
{
    public static readonly int[] Frequencies = [1000, 2000, 3000, 4000, 6000, 8000, 500, 250];

    private readonly Random _random;
    private readonly double _spreadDb;
    private readonly double _lapseRate;
    private readonly double _falseAlarmRate;
    private readonly Dictionary<(Ear, int), double> _thresholds = [];

    public CooperativePerson(int seed, int index)
    {
        _random = new Random(unchecked((seed * 1_000_003) + index));
        _spreadDb = 1 + (3 * _random.NextDouble());
        _lapseRate = 0.02 * _random.NextDouble();
        _falseAlarmRate = 0.05 * _random.NextDouble();
        AgeYears = 18 + (62 * _random.NextDouble());
        Sex = _random.Next(2) == 0 ? Sex.Female : Sex.Male;
        if (_random.Next(5) == 0)
        {
            var audiogram = StandardAudiograms.Points(StandardAudiograms.Levels.Keys.ElementAt(_random.Next(10))).ToDictionary(point => point.Frequency.Hertz, point => point.DbHl);
            Fill(() => hertz => audiogram[Math.Min(hertz, 6000)] + (3 * Normal.Next(_random)));
        }
        else
        {
            var person = Normal.Next(_random);
            Fill(() =>
            {
                var ear = Normal.Next(_random);
                return hertz => AgeThresholds.For(Sex, AgeYears, AudiometricFrequency.FromHertz(hertz))
                    .At((Math.Sqrt(0.5) * person) + (Math.Sqrt(0.2) * ear) + (Math.Sqrt(0.3) * Normal.Next(_random)));
            });
        }
    }

    public double AgeYears { get; }

    public Sex Sex { get; }

    public double Threshold(Ear ear, int hertz) => _thresholds[(ear, hertz)];

    public bool Presses(Ear ear, int hertz, double levelDbHl) =>
        _random.NextDouble() < new PsychometricFunction(_thresholds[(ear, hertz)], _spreadDb, _lapseRate, _falseAlarmRate).Probability(levelDbHl);

    public bool PressesInSilence() => _random.NextDouble() < _falseAlarmRate;

    private void Fill(Func<Func<int, double>> ofEar)
    {
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            var threshold = ofEar();
            foreach (var hertz in Frequencies)
            {
                _thresholds[(ear, hertz)] = threshold(hertz);
            }
        }
    }
}
