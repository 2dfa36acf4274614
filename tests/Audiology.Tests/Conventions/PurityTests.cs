using TeleHearing.Testing;

namespace TeleHearing.Audiology.Tests.Conventions;

/// <summary>The library computes and does nothing else: no clock, no chance of its own, no input or output, nothing public that can be changed.</summary>
public sealed class PurityTests
{
    private static readonly PureLibrary _library = new(typeof(HearingLevel).Assembly);

    [Fact]
    public void ItRefersToTheBaseLibraryAlone() => Assert.Empty(_library.ForeignReferences());

    [Fact]
    public void ItReadsNoClockAndMakesNoChance()
    {
        Assert.Contains("System.Math.Pow", _library.UsedMembers());
        Assert.Empty(_library.BannedMembers());
    }

    [Fact]
    public void NothingPublicCanBeChangedFromOutside() => Assert.Empty(_library.OpenMembers());

    [Fact]
    public void TheCheckFindsATypeThatCanBeChanged() => Assert.Equal(["Field", "Property"], PureLibrary.OpenMembers(typeof(Changeable)));

    [Fact]
    public void NoStaticFieldIsLeftOpenToChange() => Assert.Empty(_library.OpenStaticFields());

    [Fact]
    public void EveryPublicClassIsSealedOrAClosedSet() => Assert.Empty(_library.OpenClasses());

    private sealed class Changeable
    {
        public int Field = 1;

        public int Property { get; set; }

        public int Kept { get; init; }
    }
}
