using TeleHearing.Logistics.Fleet;
using TeleHearing.Testing;

namespace TeleHearing.Logistics.Tests.Conventions;

/// <summary>The library computes and does nothing else: no clock, no chance of its own, no input or output, nothing public that can be changed.</summary>
public sealed class PurityTests
{
    private static readonly PureLibrary _library = new(typeof(ErlangB).Assembly);

    [Fact]
    public void ItRefersToTheBaseLibraryAlone() => Assert.Empty(_library.ForeignReferences());

    [Fact]
    public void ItReadsNoClockMakesNoChanceAndAsksForNoZone()
    {
        // The check sees what is used: the seeded source of chance, and zones that are passed in.
        Assert.Contains("System.Random..ctor", _library.UsedMembers());
        Assert.Contains("System.TimeZoneInfo.ConvertTime", _library.UsedMembers());
        Assert.Empty(_library.BannedMembers());
    }

    [Fact]
    public void TheCheckFindsALibraryThatIsNotPure()
    {
        var impure = new PureLibrary(typeof(PureLibrary).Assembly);

        Assert.NotEmpty(impure.BannedMembers());
        Assert.NotEmpty(impure.ForeignReferences());
    }

    [Fact]
    public void NothingPublicCanBeChangedFromOutside() => Assert.Empty(_library.OpenMembers());

    [Fact]
    public void NoStaticFieldIsLeftOpenToChange() => Assert.Empty(_library.OpenStaticFields());

    [Fact]
    public void EveryPublicClassIsSealedOrAClosedSet() => Assert.Empty(_library.OpenClasses());
}
