using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

/// <summary>Tests the same people with the standard search and with the estimate, both ears at eight frequencies, in steps of 5 dB.</summary>
internal static class EstimateAccuracy
{
    private static readonly CeilingRules _kit = CeilingRules.Usual(TransducerKind.SupraAural);

    /// <summary>Tests people of a seed.</summary>
    /// <param name="seed">Seed of the people and of every chance.</param>
    /// <param name="people">Number of people, of two ears each.</param>
    /// <param name="ageKnown">Whether the estimate is told age and sex.</param>
    /// <param name="rule">Stopping rule of the search.</param>
    public static (AccuracySum Search, AccuracySum Estimate) Run(int seed, int people, bool ageKnown = true, StoppingRule rule = StoppingRule.TwoOfThree)
    {
        var (search, estimate) = (new AccuracySum(), new AccuracySum());
        for (var index = 0; index < people; index++)
        {
            // Each method meets the same person with the same luck at the beginning.
            Test(new CooperativePerson(seed, index), new Random(index), search, rule, (_, _, settings, random) => new ThresholdSearch(settings, random));
            var person = new CooperativePerson(seed, index);
            var whole = ageKnown ? new EarEstimation(person.AgeYears, person.Sex) : new EarEstimation(null, null);
            Test(person, new Random(index), estimate, rule, (ear, frequency, settings, random) => whole.Begin(ear, frequency, settings, random));
        }

        return (search, estimate);
    }

    private static void Test(CooperativePerson person, Random random, AccuracySum sum, StoppingRule rule, Func<Ear, AudiometricFrequency, SearchSettings, Random, IThresholdProcedure> begin)
    {
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            foreach (var hertz in CooperativePerson.Frequencies)
            {
                var frequency = AudiometricFrequency.FromHertz(hertz);
                var limit = _kit.HighestFor(TransducerKind.SupraAural, frequency)!.Value;
                var procedure = begin(ear, frequency, new SearchSettings(rule, HearingLevels.LowestPresentedDbHl, limit, null), random);
                var (tones, silences) = Drive(procedure, person, ear, hertz);
                sum.Add(person.Threshold(ear, hertz), limit, ((SearchMove.Finished)procedure.Next).Outcome, (procedure as ThresholdEstimation)?.Estimate, tones, silences);
            }
        }
    }

    private static (int Tones, int Silences) Drive(IThresholdProcedure procedure, CooperativePerson person, Ear ear, int hertz)
    {
        var (tones, silences) = (0, 0);
        while (procedure.Next is not SearchMove.Finished)
        {
            if (procedure.Next is SearchMove.PresentTone tone)
            {
                tones++;
                procedure.Record(person.Presses(ear, hertz, tone.Level.Decibels) ? TrialAnswer.Heard : TrialAnswer.NotHeard);
            }
            else
            {
                silences++;
                procedure.Record(person.PressesInSilence() ? TrialAnswer.Heard : TrialAnswer.NotHeard);
            }
        }

        return (tones, silences);
    }
}
