using MediatR;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Simulation.Faults;
using TeleHearing.Simulation.Parts;

namespace TeleHearing.Simulation.Tests;

/// <summary>Worlds with one fault put into a program on purpose: the rule meant for it objects. Without them nobody would know whether silence of the rules says anything.</summary>
public sealed class PlantedFaultTests
{
    [Fact]
    public void AKitThatDoesNotCutIsSeen() => Seen(
        "no sound after a cut or a stop",
        new Planted { KitIgnores = nameof(IKitClient.Cut) },
        [.. Enumerable.Range(0, 12).Select(number => new ClinicianCuts(At(200 + (20 * number)), TimeSpan.FromSeconds(2 + (0.7 * number))))]);

    [Fact]
    public void AKitThatDoesNotStopIsSeen() => Seen(
        "no sound after a cut or a stop",
        new Planted { KitIgnoresStop = true },
        [.. Enumerable.Range(0, 60).Select(number => new StopPressedAtSite(At(150 + (5 * number))))]);

    /// <summary>A link that is silent for shorter than anybody waits takes nothing but the lease.</summary>
    [Fact]
    public void AKitWhoseLeaseDoesNotEndIsSeen() => Seen(
        "no sound beyond its lease",
        new Planted { Kit = StandingLease.Put },
        [.. Enumerable.Range(0, 60).Select(number => new LinkSilent(At(150 + (5 * number)), TimeSpan.FromSeconds(1.7), Up: false, Down: true))]);

    [Fact]
    public void AKitThatIsNeverWipedIsSeen() => Seen("wiped to the end", new Planted { KitIgnores = nameof(IKitClient.Wipe) }, []);

    [Fact]
    public void AHubThatDecidesACommandAgainIsSeen() => Seen(
        "no command acted twice",
        new Planted { Hub = services => services.Remove(services.Single(service => service.ServiceType == typeof(IPipelineBehavior<,>) && service.ImplementationType!.Name.StartsWith("Once", StringComparison.Ordinal))) },
        []);

    [Fact]
    public void AnAcknowledgementOfWhatIsNowhereIsSeen() => Seen("nothing acknowledged lost", new Planted { Answers = asked => asked is SignedReports signed ? AcknowledgedUnseen.Of(signed) : null }, []);

    private static Moment At(double seconds) => new Moment.At(TimeSpan.FromSeconds(seconds));

    private static void Seen(string rule, Planted planted, IReadOnlyList<Fault> faults)
    {
        var result = SeedRun.One(1, faults, planted);

        Assert.Contains(rule, result.Violations.Select(violation => violation.Rule));

        // The same world without the fault has nothing against any rule: it is the fault that is seen.
        Assert.Empty(SeedRun.One(1, faults).Violations);
    }
}
