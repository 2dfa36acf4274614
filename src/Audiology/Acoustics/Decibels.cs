namespace TeleHearing.Audiology.Acoustics;

/// <summary>Levels of mean squares.</summary>
internal static class Decibels
{
    /// <summary>Level of a mean square, never below a floor.</summary>
    /// <param name="meanSquare">Mean square, full scale 1.0.</param>
    /// <param name="splAtRmsOneDb">Sound pressure level that a root mean square of 1 stands for, dB re 20 µPa.</param>
    /// <param name="floorDb">Lowest level told.</param>
    public static double Of(double meanSquare, double splAtRmsOneDb, double floorDb) =>
        meanSquare > 0 ? Math.Max(floorDb, (10 * Math.Log10(meanSquare)) + splAtRmsOneDb) : floorDb;
}
