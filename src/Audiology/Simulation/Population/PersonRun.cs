using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>Runs a whole audiogram on a simulated person, trial by trial, with the times of the kit.</summary>
/// <remarks>
/// The times are those of the kit: tone 1.2 s; silence to the next one 1.2 to 3 s by chance, 1 to 2 s more after a press in it; answers count from 0.15 s after the onset to 1.2 s after the end.
/// Explaining the task again takes 30 s, changing a transducer 60 s: assumptions.
/// </remarks>
internal sealed class PersonRun
{
    public const double ToneSeconds = 1.2;
    public const double AnswerFromSeconds = 0.15;
    public const double AnswerAfterSeconds = 1.2;
    public const double AnswerSeconds = ToneSeconds + AnswerAfterSeconds - AnswerFromSeconds;
    private const double ShortestGapSeconds = 1.2;
    private const double LongestGapSeconds = 3;
    private const double ExplainingSeconds = 30;
    private const double OneChangeSeconds = 60;
    private const double VibratorLimitDbHl = 60;
    private const int MostSteps = 400;

    private static readonly CeilingRules _supraAural = CeilingRules.Usual(TransducerKind.SupraAural);
    private static readonly CeilingRules _insert = CeilingRules.Usual(TransducerKind.Insert);

    private readonly SimulatedPerson _person;
    private readonly TestProtocol _protocol;
    private readonly TwoRouteListener _listener;
    private readonly Random _random;
    private readonly List<Measurement> _done = [];
    private readonly Dictionary<ConductionRoute, EarEstimation> _estimations = [];

    public PersonRun(SimulatedPerson person, TestProtocol protocol, int seed)
    {
        _person = person;
        _protocol = protocol;
        _listener = new TwoRouteListener(person, seed);
        _random = new Random(seed);
    }

    /// <summary>Everything measured so far.</summary>
    public IReadOnlyList<Measurement> Done => _done;

    /// <summary>Time for changing transducers, s.</summary>
    public double ChangingSeconds { get; private set; }

    /// <summary>Does what the planner says until it has nothing more.</summary>
    /// <exception cref="InvalidOperationException">The plan cannot go on or does not end.</exception>
    public void Finish()
    {
        var context = new PlanContext(_person.Earphone);
        for (var steps = 0; steps < MostSteps; steps++)
        {
            switch (AudiogramPlanner.Next(_protocol, _done, context))
            {
                case PlanStep.Finished:
                    return;
                case PlanStep.ChangeTransducer change:
                    ChangingSeconds += OneChangeSeconds;
                    context = context with { Fitted = change.Part.Route, VibratorSide = change.Part.Route == ConductionRoute.Air ? null : change.Part.Ear };
                    break;
                case PlanStep.Measure measure:
                    Measure(measure.Part.Ear, measure.Part.Route, measure.FrequencyHz, measure.Part.Masked, measure.StartDbHl, measure.Purpose == MeasurePurpose.QuickLook);
                    break;
                case PlanStep.Blocked blocked:
                    throw new InvalidOperationException(blocked.Reason);
            }
        }

        throw new InvalidOperationException("The plan does not end.");
    }

    /// <summary>Measures one threshold and adds it.</summary>
    /// <param name="ear">Ear.</param>
    /// <param name="route">Route.</param>
    /// <param name="frequencyHz">Frequency in Hz.</param>
    /// <param name="masked">Whether the other ear is masked.</param>
    /// <param name="startDbHl">Level to begin at; absent for the usual one.</param>
    /// <param name="quickLook">Whether to estimate, whatever the method of the protocol.</param>
    public void Measure(Ear ear, ConductionRoute route, int frequencyHz, bool masked, double? startDbHl, bool quickLook = false)
    {
        var search = _protocol.Settings(Highest(_person.Earphone, route, frequencyHz), RoomBound(route, frequencyHz), startDbHl);
        if (!masked)
        {
            var method = quickLook ? ThresholdMethod.Estimate : _protocol.Method;
            var procedure = method == ThresholdMethod.Estimate
                ? Estimation(route).Begin(ear, AudiometricFrequency.FromHertz(frequencyHz), search, _random)
                : ThresholdProcedures.Begin(method, search, _random);
            var (outcome, tally) = Drive(procedure, ear, route, frequencyHz);
            _done.Add(new Measurement(ear, route, frequencyHz, outcome) { Method = method, Tally = tally });
            return;
        }

        var rules = MaskingRules.ByName(_protocol.MaskingRules!)!;
        var plan = PlateauPlanning.Prepare(rules, _person.Earphone, _done, ear, route, frequencyHz, search, MaskerHighest(_person.Earphone, frequencyHz));
        if (plan is not PlateauPlan.Ready { Settings: { } settings })
        {
            var reason = ((PlateauPlan.NotYet)plan).Reason;
            _done.Add(new Measurement(ear, route, frequencyHz, new ThresholdOutcome.NotEstablished(reason)) { Masking = new MaskingEvidence(0, 5, [], MaskingVerdict.NotSettled, reason) });
            return;
        }

        // As loud as a kit masks without an explicit yes.
        var plateau = new PlateauSearch(settings with { StepDb = _protocol.MaskerStepDb, OperatorLimitDbEm = MaskingLevels.LoudAboveDbEm }, _random);
        var (found, trials) = Drive(plateau, ear, route, frequencyHz);
        _done.Add(new Measurement(ear, route, frequencyHz, found) { Masking = plateau.Evidence, Tally = trials with { AscentSpanDb = plateau.AscentSpanDb } });
    }

    /// <summary>Highest level of a tone, dB HL: the usual range of an instrument (IEC 60645-1, from memory), inserts 10 dB less from 6 kHz on.</summary>
    public static double Highest(TransducerKind earphone, ConductionRoute route, int frequencyHz) => route == ConductionRoute.Air
        ? (earphone == TransducerKind.Insert ? _insert : _supraAural).HighestFor(earphone, AudiometricFrequency.FromHertz(frequencyHz))!.Value
        : frequencyHz switch { <= 250 => 45, <= 500 => 60, <= 3000 => 70, _ => VibratorLimitDbHl };

    // The age is known where the hearing was drawn by it; the sex is left out.
    private EarEstimation Estimation(ConductionRoute route)
    {
        if (!_estimations.TryGetValue(route, out var estimation))
        {
            estimation = new EarEstimation(_person.AgeYears, null);
            _estimations.Add(route, estimation);
        }

        return estimation;
    }

    private static double MaskerHighest(TransducerKind earphone, int frequencyHz) => Math.Min(100, Highest(earphone, ConductionRoute.Air, frequencyHz) - 10);

    private double? RoomBound(ConductionRoute route, int frequencyHz) =>
        _person.RoomExcess is { } excess && route == ConductionRoute.Air ? HearingLevels.RoundUpToStep(Math.Max(HearingLevels.LowestPresentedDbHl, excess[SimulatedPerson.Place(frequencyHz)])) : null;

    private (ThresholdOutcome Outcome, TrialTally Tally) Drive(IThresholdProcedure procedure, Ear ear, ConductionRoute route, int frequencyHz)
    {
        var place = SimulatedPerson.Place(frequencyHz);
        var counter = new TrialCounter();
        var seconds = 0.0;
        var pressedEarly = false;
        var lateSeconds = 0.0;
        _listener.BeginThreshold();
        while (true)
        {
            double? level;
            double? masker;
            switch (procedure.Next)
            {
                case SearchMove.Finished finished:
                    return (finished.Outcome, counter.Tally(seconds));
                case SearchMove.PresentTone tone:
                    (level, masker) = (tone.Level.Decibels, tone.MaskerDbEm);
                    break;
                case SearchMove.PresentCatch silence:
                    (level, masker) = (null, silence.MaskerDbEm);
                    break;
                default:
                    seconds += ExplainingSeconds;
                    Record(TrialAnswer.OtherVoid);
                    continue;
            }

            var gap = ShortestGapSeconds + ((LongestGapSeconds - ShortestGapSeconds) * _listener.NextUnit()) + (pressedEarly ? 1 + _listener.NextUnit() : 0);
            seconds += gap + ToneSeconds;
            var waiting = gap - AnswerAfterSeconds + AnswerFromSeconds;
            pressedEarly = _listener.PressesInSilence(waiting, AnswerSeconds) || (lateSeconds > 0 && lateSeconds < waiting);
            lateSeconds = 0;
            if (pressedEarly)
            {
                Record(TrialAnswer.EarlyPress);
                continue;
            }

            if (level is not { } dbHl)
            {
                Record(_listener.PressesInSilence(AnswerSeconds, AnswerSeconds) ? TrialAnswer.Heard : TrialAnswer.NotHeard);
                continue;
            }

            var answer = _listener.Hear(ear, route, place, dbHl, masker);
            var after = (answer.ReactionMs / 1000) - ToneSeconds - AnswerAfterSeconds;
            lateSeconds = answer.Pressed && after > 0 ? after : 0;
            Record(answer.Pressed && after <= 0 ? TrialAnswer.Heard : TrialAnswer.NotHeard);
        }

        void Record(TrialAnswer answer)
        {
            counter.Add(procedure.Next, answer);
            procedure.Record(answer);
        }
    }
}
