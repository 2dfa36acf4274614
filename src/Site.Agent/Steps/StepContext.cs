using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Ceilings;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>What a step needs while it is carried out.</summary>
internal sealed class StepContext(RunningStep step, StepGear gear)
{
    public StepOrder Order => step.Order;

    public CancellationToken Token => step.Token;

    public AudioEngine Engine => gear.Engine;

    public SoundCeilings Ceilings => gear.Ceilings;

    public SideAnswers Sides => gear.Sides;

    public TimeProvider Time => gear.Time;

    public GearWorn Worn => gear.Worn;

    /// <summary>Every random choice of the step comes from here.</summary>
    public Random Random { get; } = new(step.Order.Seed);

    /// <summary>Writes a fact of this step; durable when it returns.</summary>
    /// <exception cref="StorageFaultException">It is not.</exception>
    public void Write(KitReport report) => gear.Facts.Write(Order.SessionId, report);

    /// <summary>How the step was broken off, if it was.</summary>
    public StepConclusion? Broken => step.Broken ?? (step.Token.IsCancellationRequested ? StepConclusion.ProgramEnded : null);

    /// <summary>How a presentation that did not come to its end ends the step.</summary>
    public StepConclusion Conclude(PresentationResult result) => result.End switch
    {
        PresentationEnd.LeaseLapsed => Broken ?? StepConclusion.LinkLost,
        PresentationEnd.DeviceFault => StepConclusion.Failed(RefusalCodes.SoundFault, $"The kit is silent, for its sound cannot be trusted: {result.Fault ?? Engine.Fault}"),
        _ => Broken ?? StepConclusion.Stopped,
    };

    /// <summary>Lowest provable level at a frequency by a route; absent before the room was measured.</summary>
    public double? RoomBound(AudiometricFrequency frequency, ConductionRoute route = ConductionRoute.Air) => (route == ConductionRoute.Air ? Order.LowestProvable : Order.LowestProvableBone ?? []).FirstOrDefault(bound => bound.FrequencyHz == frequency.Hertz)?.LevelDbHl;
}

/// <summary>The parts every step works with.</summary>
internal sealed record StepGear(AudioEngine Engine, SoundCeilings Ceilings, SideAnswers Sides, FactWriter Facts, TimeProvider Time, GearWorn Worn, GearChange Change);

/// <summary>A step cannot go on. Its conclusion is what the clinician is told.</summary>
internal sealed class StepBrokenException(StepConclusion conclusion) : Exception(conclusion.Reason)
{
    public StepConclusion Conclusion => conclusion;
}
