using TeleHearing.Contracts;

namespace TeleHearing.Hub.Tests.Practice;

/// <summary>The shipped list of ISO 3166 codes. Checked against the number of codes ISO gives, and against the parts of some countries as their own governments name them (ISO 3166-2, from memory).</summary>
public sealed class JurisdictionsTests
{
    [Fact]
    public void TheListHasAllCountriesOfTheStandard()
    {
        // ISO 3166-1 has 249 officially assigned codes (ISO, 2023).
        Assert.Equal(249, Jurisdictions.Countries.Count);
        Assert.All(Jurisdictions.Countries, country => Assert.True(country is { Code.Length: 2, Country.Length: > 3 }, country.Code));
    }

    [Theory]
    [InlineData("CA", "AB BC MB NB NL NS NT NU ON PE QC SK YT")]
    [InlineData("AU", "ACT NSW NT QLD SA TAS VIC WA")]
    [InlineData("CH", "AG AI AR BE BL BS FR GE GL GR JU LU NE NW OW SG SH SO SZ TG TI UR VD VS ZG ZH")]
    [InlineData("AT", "1 2 3 4 5 6 7 8 9")]
    [InlineData("GB", "ENG NIR SCT WLS")]
    public void PartsThatAreKnownToLicenseOrGovernAreInTheList(string country, string parts) =>
        Assert.All(parts.Split(' '), part => Assert.Equal($"{country}-{part}", Jurisdictions.Find($"{country}-{part}")?.Code));

    [Theory]
    [InlineData("nl", "NL", "Netherlands")]
    [InlineData(" CA-NS ", "CA-NS", "Canada")]
    [InlineData("GB-SCT", "GB-SCT", "Britain (UK)")]
    [InlineData("US-CA", "US-CA", "United States")]
    [InlineData("AU-NSW", "AU-NSW", "Australia")]
    public void CodesAreReadAsTyped(string typed, string code, string country) => Assert.Equal(new Jurisdiction(code, country), Jurisdictions.Find(typed));

    [Theory]
    [InlineData("")]
    [InlineData(null)]
    [InlineData("C")]
    [InlineData("XX")]
    [InlineData("UK")]
    [InlineData("CAN")]
    [InlineData("CA-")]
    [InlineData("CA-XX")]
    [InlineData("CANS")]
    [InlineData("CA_NS")]
    [InlineData("ZZ-01")]
    public void WhatIsNoCodeIsSaidSo(string? typed)
    {
        Assert.Null(Jurisdictions.Find(typed));
        Assert.NotNull(Jurisdictions.Fault(typed));
    }

    [Fact]
    public void EveryCodeOfTheListIsFoundAndHasNoFault() => Assert.All(Jurisdictions.Countries, country =>
    {
        Assert.Equal(country, Jurisdictions.Find(country.Code));
        Assert.Null(Jurisdictions.Fault(country.Code));
    });
}
