using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Ceilings;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Link;
using TeleHearing.Site.Agent.Screen;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>The last look at an order before it is carried out: who may command, what is agreed, stop, and whether its sound may be made.</summary>
/// <remarks>Asked while the order is the step in hand already, so that nothing can come between the look and the beginning.</remarks>
internal sealed class OrderDoor(LeaseClock lease, StopSwitch stop, StepGear gear, KitScreenState screen, OrderLedger ledger)
{
    private static readonly Ear[] _sides = [Ear.Right, Ear.Left];

    /// <summary>An order was let through and begins now.</summary>
    public event Action<StepOrder>? Passed;

    /// <summary>Why an order is not carried out; absent when it is.</summary>
    public Refusal? WhyNot(StepOrder order)
    {
        var refusal = OrderGate.Check(order, ledger.Of(order.SessionId), screen.Now.Scene?.SessionId, lease.HubNowMs, stop.IsPressed, stop.IsWithdrawn) ?? SoundRefusal(order);
        if (refusal is null)
        {
            Passed?.Invoke(order);
        }

        return refusal;
    }

    /// <summary>What can be said against the sound of a step before it begins.</summary>
    private Refusal? SoundRefusal(StepOrder order)
    {
        var (route, tested) = order.Request switch
        {
            PresentToneStep tone => (tone.Route, tone.Ear),
            SearchThresholdStep search => (search.Route, search.Ear),
            MeasurePartStep part => (part.Part.Route, part.Part.Ear),
            WearGearStep wear => (wear.Route, default),
            _ => (ConductionRoute.Air, default),
        };
        if ((order.Request.MakesSound || route != ConductionRoute.Air) && gear.Ceilings.CalibrationFault(route) is { } fault)
        {
            return fault;
        }

        var needed = Worn.For(route, tested);
        if (order.Request.MakesSound && gear.Worn.Now != needed)
        {
            return new Refusal(
                RefusalCodes.GearNotWorn,
                gear.Worn.Now is { } worn ? $"The person wears {worn.Words}; this needs {needed.Words}." : $"It is not known what the person wears; this needs {needed.Words}.",
                "Order the change of gear, and wait until the assistant has marked it as done.");
        }

        return order.Request switch
        {
            ProveSidesStep sides => _sides.Select(side => gear.Ceilings.Check(order, side, AudiometricFrequency.FromHertz(sides.FrequencyHz), HearingLevel.FromDecibels(sides.LevelDbHl), SideProof.ToneMs).Refusal).FirstOrDefault(refusal => refusal is not null),
            PresentToneStep tone => PresentRefusal(order, tone),
            SearchThresholdStep search => SearchRefusal(order, search.Ear, [search.FrequencyHz], search.Route),
            SearchEarStep search => SearchRefusal(order, search.Ear, search.FrequenciesHz),
            _ => null,
        };
    }

    private Refusal? PresentRefusal(StepOrder order, PresentToneStep tone)
    {
        var bounds = tone.Route == ConductionRoute.Air ? order.LowestProvable : order.LowestProvableBone ?? [];
        var bound = bounds.FirstOrDefault(known => known.FrequencyHz == tone.FrequencyHz);
        return bound is not null && tone.LevelDbHl < bound.LevelDbHl
            ? new Refusal(RefusalCodes.BelowRoomBound, $"The room hides levels below {bound.LevelDbHl} dB HL at {tone.FrequencyHz} Hz.", "Ask for a higher level, or find a quieter room and measure it again.")
            : gear.Ceilings.Check(order, tone.Ear, AudiometricFrequency.FromHertz(tone.FrequencyHz), HearingLevel.FromDecibels(tone.LevelDbHl), tone.DurationMs, tone.Route).Refusal
                ?? (tone.MaskerDbEm is { } masker ? gear.Ceilings.CheckMasker(order, tone.Ear.Other(), AudiometricFrequency.FromHertz(tone.FrequencyHz), masker).Refusal : null);
    }

    private Refusal? SearchRefusal(StepOrder order, Ear ear, IReadOnlyList<int> frequenciesHz, ConductionRoute route = ConductionRoute.Air) => frequenciesHz
        .Select(hertz => AudiometricFrequency.FromHertz(hertz))
        .Where(frequency => !(gear.Ceilings.HighestDbHl(order, ear, frequency, route) >= HearingLevels.LowestPresentedDbHl))
        .Select(frequency => new Refusal(RefusalCodes.OverCeiling, $"Nothing may be played at {frequency} with this kit: it has no calibration or no ceiling there.", "Leave this frequency out."))
        .FirstOrDefault();
}
