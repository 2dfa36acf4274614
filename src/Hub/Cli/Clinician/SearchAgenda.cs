using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Cli.Clinician;

/// <summary>Works out from the thresholds on record which searches are still owed: each frequency once, 1000 Hz a second time, whatever did not settle again, and what was not heard up to 100 dB HL once more with loud levels confirmed.</summary>
internal sealed class SearchAgenda(TestPlan plan)
{
    private const int RetestHz = 1000;

    private const int MostMeasurements = 3;

    /// <summary>The next order, or nothing when all is measured.</summary>
    public OrderStep? Next(SessionView view)
    {
        foreach (var ear in plan.Ears)
        {
            var ordinary = Owed(view, ear, loud: false);
            if (ordinary.Count > 0)
            {
                return new OrderStep(new SearchEarStep(ear.Ear, ordinary, plan.Rule, plan.Shape), LoudConfirmed: false);
            }

            var loud = Owed(view, ear, loud: true);
            if (loud.Count > 0)
            {
                return new OrderStep(new SearchEarStep(ear.Ear, loud, plan.Rule, plan.Shape), LoudConfirmed: true);
            }
        }

        return null;
    }

    private static List<int> Owed(SessionView view, EarPlan ear, bool loud)
    {
        List<int> owed = [];
        HashSet<int> passed = [];
        foreach (var frequency in EarProtocol.ConventionalOrder(ear.FrequenciesHz.Select(hertz => AudiometricFrequency.FromHertz(hertz))))
        {
            var frequencyHz = frequency.Hertz;
            var isRetest = !passed.Add(frequencyHz);
            ThresholdRecord[] found = [.. view.Superseded.Concat(view.Thresholds).Where(record => record.Ear == ear.Ear && record.FrequencyHz == frequencyHz)];
            if (Needs(found, frequencyHz, isRetest, loud))
            {
                owed.Add(frequencyHz);
            }
        }

        return owed;
    }

    private static bool Needs(ThresholdRecord[] found, int frequencyHz, bool isRetest, bool loud)
    {
        if (loud)
        {
            return !isRetest && found is [.., { Outcome: ThresholdOutcome.NoResponseAtLimit { LimitDbHl: <= HearingLevels.LoudAboveDbHl } }] && found.Length < MostMeasurements;
        }

        if (isRetest)
        {
            return frequencyHz == RetestHz && found.Length < 2;
        }

        return found.Length < MostMeasurements && found switch
        {
            [] => true,
            [.., { Outcome: ThresholdOutcome.NotEstablished }] => true,
            [.., { Outcome: ThresholdOutcome.Established first }, { Outcome: ThresholdOutcome.Established retest }] => !EarProtocol.RetestAgrees(first, retest),
            _ => false,
        };
    }
}
