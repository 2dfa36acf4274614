using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Tests.Steps;

public sealed class SideProofTests
{
    [Fact]
    public void EverySeedGivesEachSideAtLeastOnce()
    {
        Check.QuickThrowOnFailure(Prop.ForAll(
            Gen.Choose(4, 12).SelectMany(_ => Gen.Choose(0, int.MaxValue), (count, seed) => (count, seed)).ToArbitrary(),
            draw =>
            {
                var sides = SideProof.Order(draw.count, new Random(draw.seed));
                return sides.Count == draw.count && sides.Contains(Ear.Left) && sides.Contains(Ear.Right);
            }));
    }

    [Fact]
    public void TheSameSeedGivesTheSameOrderAndAnotherSeedAnother()
    {
        var orders = Enumerable.Range(0, 50).Select(seed => string.Concat(SideProof.Order(8, new Random(seed)))).ToList();

        Assert.Equal(orders[3], string.Concat(SideProof.Order(8, new Random(3))));
        Assert.True(orders.Distinct().Count() > 25);
    }
}
