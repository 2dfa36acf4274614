using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Steps;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Steps;

/// <summary>What comes between the last look at an order and the beginning of its step ends the step: nothing of it sounds.</summary>
public sealed class OrderDoorTests
{
    private static readonly TimeSpan _limit = TimeSpan.FromSeconds(10);

    [Theory]
    [InlineData("stop", RefusalCodes.StopPressed)]
    [InlineData("consent", RefusalCodes.ConsentMissing)]
    [InlineData("epoch", RefusalCodes.CutByClinician)]
    [InlineData("session", RefusalCodes.CutByClinician)]
    public async Task WhatComesJustAfterTheLastLookEndsTheStepBeforeItSounds(string what, string code)
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Link == LinkState.Linked);
        var sounded = false;
        agent.Get<AudioEngine>().SoundChanged += on => sounded |= on;
        agent.Get<OrderDoor>().Passed += _ => Come(what, hub, agent);

        var order = hub.Order(new PresentToneStep(Ear.Left, 1000, 40, ToneShape.Steady, 1000));
        await hub.CarryAsync(order);
        var ended = await hub.EndOfAsync(order.StepId);

        Assert.Equal(code, ended.Code);
        Assert.NotEqual(StepEnding.Completed, ended.Ending);
        Assert.False(sounded);
        Assert.Empty(hub.All<TrialDone>());
    }

    /// <summary>Makes it happen, and returns when the kit has taken it.</summary>
    private static void Come(string what, TestHub hub, RunningAgent agent)
    {
        switch (what)
        {
            case "stop":
                agent.Get<KitActions>().Stop();
                break;
            case "consent":
                agent.Get<KitActions>().TakeConsentBack();
                break;
            case "epoch":
                _ = hub.ShowAsync(hub.Scene with { ControlEpoch = 2 });
                break;
            default:
                _ = hub.ShowAsync(hub.Scene with { SessionId = SessionId.New() });
                break;
        }

        SpinWait.SpinUntil(() => agent.Get<CurrentStep>().Now?.Broken is not null, _limit);
    }
}
