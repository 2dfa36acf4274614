using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Hub.Cli.Rehearsal;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Cli;

public sealed class WalkNarratorTests
{
    private static async Task<SessionView> AnyView()
    {
        await using var hub = await RunningHub.Start();
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(clinician);
        await using var console = await hub.Console(clinician);
        return (await console.Watch(session)).View!;
    }

    [Fact]
    public async Task StagesAndEndingsAreToldInWordsAndStepsBrokenOffByTheLinkAreCountedOnce()
    {
        var view = await AnyView() with { Stage = SessionStage.EarLook };
        StepView Broken(string code) => new(StepId.New(), new MeasureRoomStep(10), true, StepEnding.Interrupted, code, "why", []);
        var output = new StringWriter();
        var narrator = new WalkNarrator(output, new FakeTimeProvider());

        var byLink = view with { Step = Broken(RefusalCodes.LinkLost) };
        narrator.Tell(byLink);
        narrator.Tell(byLink);
        narrator.Tell(view with { Step = Broken(RefusalCodes.StopPressed) });

        Assert.Equal(1, narrator.BrokenOffByLink);
        Assert.Contains("ear look", output.ToString(), StringComparison.Ordinal);
        Assert.Contains("step broken off: why", output.ToString(), StringComparison.Ordinal);
        Assert.DoesNotMatch("EarLook|Interrupted", output.ToString());
    }

    [Fact]
    public void ARunThatTheLinkDisturbedIsSaidNotToBeRepeatable()
    {
        Assert.Null(Repeatability.Warning(0));
        Assert.StartsWith("1 step was broken off by the link", Repeatability.Warning(1), StringComparison.Ordinal);
        Assert.Contains("the same seed may give other results", Repeatability.Warning(3), StringComparison.Ordinal);
        Assert.StartsWith("3 steps were broken off by the link", Repeatability.Warning(3), StringComparison.Ordinal);
    }
}
