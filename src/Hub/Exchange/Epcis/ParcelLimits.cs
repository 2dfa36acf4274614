using TeleHearing.Contracts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>What the readings of a parcel's sensor are held against.</summary>
/// <param name="Name">Which limits: <see cref="OperatingName"/>, or <see cref="TransportName"/> when the clinic set those its makers state.</param>
/// <param name="LowestC">Lowest temperature, °C.</param>
/// <param name="HighestC">Highest temperature, °C.</param>
/// <param name="HighestShockG">Largest shock, multiples of the standard acceleration of gravity, 9.80665 m/s²; absent without a limit: no standard names one for this gear.</param>
internal sealed record ParcelLimits(string Name, double LowestC, double HighestC, double? HighestShockG)
{
    /// <summary>The band within which gear must keep its specification.</summary>
    public const string OperatingName = "operating";

    /// <summary>The band within which makers allow it to travel and lie.</summary>
    public const string TransportName = "transport";

    /// <summary>15 to 35 °C: IEC 60645-1:2017, clause 5.3. Outside it in a parcel nothing need be broken, but the kit must come to the temperature of the room before it is used.</summary>
    public static ParcelLimits Operating { get; } = new(OperatingName, 15, 35, null);

    /// <summary>Whether the temperatures read leave the band.</summary>
    public bool TooColdOrHot(ParcelReadings readings) => Outside(readings.LowestC) || Outside(readings.HighestC);

    /// <summary>Whether the shock read is larger than the limit, where there is one.</summary>
    public bool TooHard(ParcelReadings readings) => readings.HighestShockG > HighestShockG;

    private bool Outside(double? celsius) => celsius < LowestC || celsius > HighestC;
}
