using System.Text;
using OtpNet;
using TeleHearing.Hub.Identity.Proof;

namespace TeleHearing.Hub.Tests.Identity.Accounts;

public sealed class AuthenticatorCodeTests
{
    /// <summary>The secret of RFC 6238, appendix B, for SHA-1.</summary>
    private static readonly string _key = Base32Encoding.ToString(Encoding.ASCII.GetBytes("12345678901234567890"));

    // RFC 6238, appendix B, the rows for SHA-1: time in seconds, and the code of eight digits. A code of six is its last six, since both are the same number modulo a power of ten (RFC 4226, 5.3).
    [Theory]
    [InlineData(59, "94287082", 0x1)]
    [InlineData(1111111109, "07081804", 0x23523EC)]
    [InlineData(1111111111, "14050471", 0x23523ED)]
    [InlineData(1234567890, "89005924", 0x273EF07)]
    [InlineData(2000000000, "69279037", 0x3F940AA)]
    [InlineData(20000000000, "65353130", 0x27BC86AA)]
    public void CodesAreThoseOfTheStandard(long seconds, string code, long step)
    {
        var now = DateTimeOffset.FromUnixTimeSeconds(seconds);

        Assert.Equal(step, AuthenticatorCode.Step(_key, code[2..], now));
        Assert.Equal(step, AuthenticatorCode.Step(_key, $"{code[2..5]} {code[5..]}", now));
        Assert.Equal(step, AuthenticatorCode.Step(_key, code[2..], now.AddSeconds(30)));
        Assert.Null(AuthenticatorCode.Step(_key, code[2..], now.AddSeconds(90)));
    }

    [Theory]
    [InlineData("")]
    [InlineData("12345")]
    [InlineData("1234567")]
    [InlineData("12a456")]
    [InlineData("١٢٣٤٥٦")]
    [InlineData("-12345")]
    public void WhatIsNoCodeIsNoCode(string text) => Assert.Null(AuthenticatorCode.Step(_key, text, DateTimeOffset.UnixEpoch));

    [Fact]
    public void ASecretHas160Bits() => Assert.Equal(20, Base32Encoding.ToBytes(AuthenticatorCode.NewKey()).Length);
}
