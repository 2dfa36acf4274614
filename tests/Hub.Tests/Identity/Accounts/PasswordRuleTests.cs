using TeleHearing.Hub.Identity.Proof;

namespace TeleHearing.Hub.Tests.Identity.Accounts;

/// <summary>OWASP ASVS 5.0, 6.2: long passwords of any characters, none that everybody tries.</summary>
public sealed class PasswordRuleTests
{
    [Theory]
    [InlineData("nine pale herons walk")]
    [InlineData("            é中文🙂")]
    [InlineData("aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa1")]
    public void AnyCharactersAndNoMixtureAreAskedFor(string password) => Assert.Null(PasswordRule.Fault(password, "Runa Aske", "runa"));

    // The first three lead every published list of common passwords of this length; the others are spellings of them.
    [Theory]
    [InlineData("123456789012")]
    [InlineData("qwertyqwerty")]
    [InlineData("passwordpassword")]
    [InlineData("QwertyQwerty")]
    [InlineData("1q2w3e4r5t6y")]
    public void CommonOnesAreRefused(string password) => Assert.Contains("Many people", PasswordRule.Fault(password), StringComparison.Ordinal);

    [Theory]
    [InlineData("short of 12")]
    [InlineData("")]
    public void ShortOnesAreRefused(string password) => Assert.Contains("at least 12", PasswordRule.Fault(password), StringComparison.Ordinal);

    [Theory]
    [InlineData("RunaAske2026")]
    [InlineData("TeleHearing1")]
    [InlineData("runa.a-runa.a")]
    public void OnesMadeOfTheNameAreRefused(string password) => Assert.Contains("your name", PasswordRule.Fault(password, "Runa Aske", "runa.a"), StringComparison.Ordinal);

    [Fact]
    public void TheListHoldsAtLeastThe3000ThatTheStandardAsksFor() => Assert.InRange(CommonPasswords.Count, 3000, 100_000);
}
