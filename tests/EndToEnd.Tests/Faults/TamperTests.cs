using TeleHearing.Testing.Messages;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>Messages between hub, kit and console that were changed, repeated, swapped, lost, held up, invented or sent to the wrong one, without TLS: every one is noticed, and the session is what it would have been.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class TamperTests(ITestOutputHelper output)
{
    /// <summary>Changed messages, one on each link in each direction; of the other classes half as many, so that each link meets every way of noticing. Many more are made by `dotnet run --project tests/Benchmarks -- faults tamper` (docs/validation/faults.md).</summary>
    private const int Injections = 4;

    [Fact]
    public async Task EveryClassOfErrorIsCaughtOnEveryLinkInBothDirections()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var campaign = await TamperCampaign.Start(seed: 61784, cancellation);
        foreach (var error in Enum.GetValues<CommunicationError>())
        {
            var figures = await campaign.Run(error, error == CommunicationError.Corruption ? Injections : Injections / 2, cancellation);
            output.WriteLine($"{error}: {figures.Caught} of {figures.Injected}, {string.Join(", ", figures.By.Select(one => $"{one.Key} {one.Value}"))}");
            Assert.Equal(figures.Injected, figures.Caught);
        }

        await campaign.AssertWhole(cancellation);
    }
}
