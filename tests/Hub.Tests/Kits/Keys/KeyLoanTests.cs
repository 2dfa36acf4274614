using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Keys;

/// <summary>A new key each loan.</summary>
public sealed class KeyLoanTests
{
    private static readonly LoanId _first = LoanId.New();
    private static readonly LoanId _second = LoanId.New();
    private static readonly DateOnly _day = new(2026, 3, 2);

    private static KitPacked Packed(LoanId loan) => new(loan, [], null, null, KitSamples.Coordinator);

    private static KitSent Sent(LoanId loan, KitLeg leg = KitLeg.Out) => new(loan, leg, null, _day, EntryMeans.Typed, KitSamples.Coordinator);

    private static KitReceived Received(LoanId loan) => new(loan, null, [], null, EntryMeans.Typed, KitSamples.Coordinator);

    private static KitReleased Released => new(KitSamples.Coordinator);

    [Fact]
    public void AKeyGoesOutWithOneLoanAndIsRetiredWhenTheKitIsReleasedAfterIt()
    {
        Assert.Null(KeyLoans.After(null, [Packed(_first)]));
        Assert.Equal(_first, KeyLoans.After(null, [Packed(_first), Sent(_first)]));
        Assert.False(KeyLoans.Retire(null, [Packed(_first), Sent(_first)]));
        Assert.False(KeyLoans.Retire(_first, [Sent(_first, KitLeg.Back), Received(_first)]));
        Assert.True(KeyLoans.Retire(_first, [Released]));
    }

    [Fact]
    public void AKeyThatWasNeverOutIsKept()
    {
        Assert.False(KeyLoans.Retire(null, [Released]));
        Assert.False(KeyLoans.Retire(null, [Packed(_first), new LoanCalledOff(_first, "not needed", KitSamples.Coordinator), Packed(_second), Sent(_second)]));
    }

    [Fact]
    public void AtTheLatestItIsRetiredWhenTheKitIsPackedForAnotherLoan()
    {
        Assert.False(KeyLoans.Retire(_first, [Packed(_first)]));
        Assert.True(KeyLoans.Retire(_first, [Packed(_second)]));
    }

    [Fact]
    public void AKeyMadeWhileTheKitWasAwayWasOutAsWell() => Assert.Equal(_first, KeyLoans.After(null, [Received(_first)]));
}
