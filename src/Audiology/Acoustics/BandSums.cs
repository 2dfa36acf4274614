namespace TeleHearing.Audiology.Acoustics;

/// <summary>Wider bands from narrower ones.</summary>
public static class BandSums
{
    /// <summary>Octave levels as the power sums of the three third-octaves each is made of; an octave that lacks one of them is left out.</summary>
    public static IReadOnlyList<BandLevel> Octaves(IReadOnlyList<BandLevel> thirdOctaves)
    {
        var powers = thirdOctaves.GroupBy(level => level.BandHz).ToDictionary(group => group.Key, group => Math.Pow(10, group.Last().LevelDbSpl / 10));
        var octaves = new List<BandLevel>();
        foreach (var octave in OctaveBands.All)
        {
            var middle = ThirdOctaveBands.All.ToList().IndexOf(octave);
            double[] parts = [.. new[] { middle - 1, middle, middle + 1 }
                .Where(index => index < ThirdOctaveBands.All.Count && powers.ContainsKey(ThirdOctaveBands.All[index]))
                .Select(index => powers[ThirdOctaveBands.All[index]])];
            if (parts.Length == 3)
            {
                octaves.Add(new BandLevel(octave, 10 * Math.Log10(parts.Sum())));
            }
        }

        return octaves;
    }
}
