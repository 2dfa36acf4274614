using TeleHearing.Audiology;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>Takes a session through its first gates.</summary>
internal static class Walk
{
    /// <summary>From Scheduled or Connecting to Testing, with a connected kit.</summary>
    public static async Task ToTesting(TestConsole console, TestKit kit)
    {
        await ToPassedKitCheck(console, kit);
        await console.Must(new Advance());
        await Step(console, kit, new MeasureRoomStep(10), Samples.QuietRoom);
        await console.Must(new Advance());
        await console.Must(Samples.Clear(Ear.Right));
        await console.Must(Samples.Clear(Ear.Left));
        await console.Must(new Advance());
        await Step(console, kit, new ProveSidesStep(4, 1000, 50), Samples.SidesRight);
        await console.Must(new Advance());
    }

    /// <summary>From Scheduled or Connecting to a kit check with everything the kit and the site can give.</summary>
    public static async Task ToPassedKitCheck(TestConsole console, TestKit kit)
    {
        if (console.View!.Control.HolderId is null)
        {
            await console.Ask(new TakeControl());
        }

        await console.Must(new Advance());
        await console.Must(new ConfirmIdentity(Samples.Card(console.View!.Person.Reference)));
        await console.Must(new Advance());
        await console.Must(Samples.Consent);
        await console.Must(new Advance());
        await Step(console, kit, new CheckKitStep(), Samples.KitCheck);
        Assert.Equal(RefusalCodes.GateNotMet, (await console.Ask(new Advance())).Refusal!.Code);
        await kit.Report(console.View!.SessionId, new AssistantDone(SessionStage.KitCheck));
    }

    public static async Task Step(TestConsole console, TestKit kit, StepRequest request, StepResult result)
    {
        await console.Must(new OrderStep(request, false));
        var order = await kit.NextOrder();
        await kit.Report(order.SessionId, new StepStarted(order.StepId), new StepEnded(order.StepId, StepEnding.Completed, null, null, result));
    }
}
