using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Ceilings;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>One trial to be carried out.</summary>
internal sealed record TrialPlan(Ear Ear, AudiometricFrequency Frequency, HearingLevel Level, TrialKind Kind, ToneShape Shape, bool Ascending, double DurationMs)
{
    /// <summary>How the tone reaches the ear. By bone the vibrator stands on the channel of the ear under test, so that a masker goes to the other ear as ever.</summary>
    public ConductionRoute Route { get; init; }

    /// <summary>Masker in the other ear, dB of effective masking, in catch trials too; absent for none.</summary>
    public double? MaskerDbEm { get; init; }

    /// <summary>Whether the silence before it is longer than usual, because the person has just responded to silence.</summary>
    public bool LengthenGap { get; init; }
}

/// <summary>Carries out the trials of one frequency: random silence, tone or none, answer, noise.</summary>
/// <param name="context">The step.</param>
/// <param name="frequency">Frequency of all trials.</param>
/// <param name="byHand">Whether a clinician chose the moment: the first tone then starts at once instead of after a random silence.</param>
/// <param name="trialsBefore">Trials of the step before these.</param>
/// <param name="route">Route of all trials: by bone the ears count as open, and the room has to be quieter.</param>
/// <remarks>
/// The silence between tones is random and never shorter than the tone (ISO 8253-1:2010, 6.2.1, irregular intervals; 1.2 to 3 s is this tool's choice). The time for answers
/// runs from <see cref="ResponseFromMs"/> after the onset, sooner than which nobody reacts to the tone, to <see cref="ResponseUntilMs"/> after its end (design choices).
/// A masker is on from at least <see cref="MaskerLeadMs"/> before the tone until the time for answers is over, so that neither its coming nor its going tells anything about the tone.
/// </remarks>
internal sealed class TrialPlayer(StepContext context, AudiometricFrequency frequency, bool byHand, int trialsBefore = 0, ConductionRoute route = ConductionRoute.Air)
{
    public const double ResponseFromMs = 150;
    public const double ResponseUntilMs = 1200;

    /// <summary>A masker is on for at least this long before its tone, ms (design: half a second and the masker's own rise).</summary>
    public const double MaskerLeadMs = 600;
    private const double ShortestGapMs = 1200;
    private const double LongestGapMs = 3000;
    private const double ShortestExtraMs = 1000;
    private const double LongestExtraMs = 2000;

    private readonly NoiseWatch? _noise = RoomHearing.Find(context.Engine.Microphone, context.Ceilings.Gear).Hearing is { } hearing
        ? new NoiseWatch(frequency, route == ConductionRoute.Air ? context.Ceilings.Gear.Kit.TransducerKind : TransducerKind.BoneVibrator, hearing.SplAtRmsOneDb)
        : null;

    /// <summary>One noise for all trials: made once, only its level and length change.</summary>
    private IStimulus? _masker;
    private int _played;
    private bool _pressedEarly;

    /// <summary>Carries out one trial and writes it. When it was broken off, it is written as void and the step ends.</summary>
    /// <exception cref="StepBrokenException">The trial was broken off or may not be made.</exception>
    public async Task<TrialRecord> PlayAsync(TrialPlan plan)
    {
        var (presentation, result) = await PresentAsync(plan);
        var trial = Judge(plan, presentation, result);
        context.Write(new TrialDone(context.Order.StepId, trial));
        ThrowIfBroken(result);
        if (_noise?.Broken is { } fault)
        {
            // Repeating it would climb from level to level without the room being to blame.
            throw new StepBrokenException(StepConclusion.Failed(RefusalCodes.SoundFault, $"{fault} Nothing more is presented. {RoomHearing.Mend}"));
        }

        return trial;
    }

    private async Task<(Presentation Presentation, PresentationResult Result)> PresentAsync(TrialPlan plan)
    {
        var masker = plan.MaskerDbEm is { } level ? Allowed(plan, level) : null;
        var tone = plan.Kind == TrialKind.Tone ? Tone(plan) : null;
        var bodyFrames = tone?.TotalFrames ?? AudioFormat.FramesOf(plan.DurationMs);
        var silent = new Presentation
        {
            LeadFrames = AudioFormat.FramesOf(Math.Max(LeadMs(plan), masker is null ? 0 : MaskerLeadMs)),
            BodyFrames = bodyFrames,
            TailFrames = AudioFormat.FramesOf(ResponseUntilMs),
            Tone = tone,
            Ear = plan.Ear,
            NeedsLease = true,
            Room = _noise,
        };
        var presentation = masker is null ? silent : silent with { Masker = Masker(masker, silent.TotalFrames) };
        _noise?.Expect(bodyFrames);
        _played++;
        var result = await context.Engine.PresentAsync(presentation, context.Token);
        var whole = result.End == PresentationEnd.Complete;
        if (masker is not null)
        {
            context.Ceilings.NoteMasked(context.Order.SessionId, plan.Ear.Other(), masker.CeilingLevel, whole);
        }

        if (tone is not null)
        {
            context.Ceilings.NotePresented(context.Order.SessionId, plan.Level, whole);
        }

        return (presentation, result);
    }

    /// <summary>What the ceilings allow of the masker. They are asked before every trial, as for a tone.</summary>
    private AllowedMasker Allowed(TrialPlan plan, double levelDbEm)
    {
        var allowed = context.Ceilings.CheckMasker(context.Order, plan.Ear.Other(), plan.Frequency, levelDbEm);
        return allowed.Refusal is { } refusal
            ? throw new StepBrokenException(StepConclusion.Failed(refusal.Code, $"{refusal.Sentence} {refusal.Remedy}"))
            : allowed;
    }

    private IStimulus Masker(AllowedMasker allowed, long frames) =>
        _masker = Stimulus.Make(new NarrowBandNoiseSpec(frequency, allowed.Rms, context.Order.Seed, ToneShape.Steady, AudioFormat.MillisecondsOf(frames), AudioFormat.SampleRateHz), _masker);

    /// <summary>The tone, once the ceilings allow it. They are asked before every single one.</summary>
    private ToneSynthesizer Tone(TrialPlan plan)
    {
        var allowed = context.Ceilings.Check(context.Order, plan.Ear, plan.Frequency, plan.Level, plan.DurationMs, plan.Route);
        if (allowed.Refusal is { } refusal)
        {
            throw new StepBrokenException(StepConclusion.Failed(refusal.Code, $"{refusal.Sentence} {refusal.Remedy}"));
        }

        return new ToneSynthesizer(new ToneSpec(plan.Frequency.Hertz, allowed.PeakAmplitude, plan.Shape, plan.DurationMs, AudioFormat.SampleRateHz));
    }

    private double LeadMs(TrialPlan plan)
    {
        var gap = Between(ShortestGapMs, LongestGapMs);
        if (_played == 0)
        {
            // no tone of this step came before it
            return byHand ? SettleMs() : gap;
        }

        var extra = _pressedEarly || plan.LengthenGap ? Between(ShortestExtraMs, LongestExtraMs) : 0;
        // the time for answers to the trial before is part of the gap
        return Math.Max(0, Math.Max(plan.DurationMs, gap) + extra - ResponseUntilMs);
    }

    /// <summary>Settles the noise filters on what was heard before, and returns how long they still have to listen, ms.</summary>
    private double SettleMs()
    {
        if (_noise is null)
        {
            return 0;
        }

        var before = context.Engine.RoomBefore.Copy();
        _noise.Settle(before);
        return RoomMemory.LengthMs - AudioFormat.MillisecondsOf(before.Length);
    }

    private double Between(double low, double high) => low + (context.Random.NextDouble() * (high - low));

    private TrialRecord Judge(TrialPlan plan, Presentation presentation, PresentationResult result)
    {
        var from = result.OnsetFrame + AudioFormat.FramesOf(ResponseFromMs);
        var until = result.OnsetFrame + presentation.BodyFrames + presentation.TailFrames;
        var early = result.Presses.Count(press => press.DownFrame < from);
        var answer = result.Presses.Where(press => press.DownFrame >= from && press.DownFrame < until).Select(press => (long?)press.DownFrame).Min();
        _pressedEarly = early > 0;
        var trouble = result.End == PresentationEnd.Complete ? _noise?.Trouble : null;
        var noise = result.End == PresentationEnd.Complete && trouble is null ? _noise?.Judge(plan.Level) ?? [] : [];
        var voidReason = BreakReason(result) ?? trouble ?? NoiseReason(noise) ?? EarlyReason(early);
        return new TrialRecord(
            trialsBefore + _played,
            plan.Ear,
            plan.Frequency.Hertz,
            plan.Level.Decibels,
            plan.Kind,
            plan.Shape,
            plan.Ascending,
            AudioFormat.MillisecondsOf(result.OnsetFrame),
            AudioFormat.MillisecondsOf(presentation.BodyFrames),
            Verdict(plan.Kind, answer is not null, voidReason is not null),
            answer is { } frame ? AudioFormat.MillisecondsOf(frame - result.OnsetFrame) : null,
            early,
            voidReason,
            noise)
        {
            Route = plan.Route,
            MaskerDbEm = plan.MaskerDbEm,
        };
    }

    private static TrialVerdict Verdict(TrialKind kind, bool answered, bool isVoid) =>
        isVoid ? TrialVerdict.Void
        : kind == TrialKind.Tone ? (answered ? TrialVerdict.Heard : TrialVerdict.NotHeard)
        : answered ? TrialVerdict.FalseResponse : TrialVerdict.CorrectSilence;

    private static string? NoiseReason(IReadOnlyList<TrialNoise> noise)
    {
        var worst = noise.Where(band => band.LevelDbSpl > band.LimitDbSpl).MaxBy(band => band.LevelDbSpl - band.LimitDbSpl);
        return worst is null ? null : string.Create(CultureInfo.InvariantCulture, $"The room was too loud: {worst.LevelDbSpl:0.0} dB SPL in the {worst.BandHz:0.#} Hz band, with at most {worst.LimitDbSpl:0.0} dB SPL allowed at this level.");
    }

    // A clinician who tests by hand sees the press and judges it; a search has to.
    private string? EarlyReason(int early) => early > 0 && !byHand ? "The person pressed in the silence before it, so the answer says nothing." : null;

    private string? BreakReason(PresentationResult result) => result.End == PresentationEnd.Complete ? null : context.Conclude(result).Reason;

    private void ThrowIfBroken(PresentationResult result)
    {
        if (result.End != PresentationEnd.Complete)
        {
            throw new StepBrokenException(context.Conclude(result));
        }
    }
}
