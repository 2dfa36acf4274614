using System.Globalization;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Masking;

/// <summary>Vectors of the two-route model, calculated from its formulas apart from this code (Data/masking_model_checks.csv).</summary>
public sealed class MaskingModelTests
{
    public static IEnumerable<TheoryDataRow<MaskingVector>> Vectors => MaskingVector.All.Select(vector => new TheoryDataRow<MaskingVector>(vector));

    [Fact]
    public void AllVectorsAreThere() => Assert.Equal(48, MaskingVector.All.Count);

    [Theory]
    [MemberData(nameof(Vectors), DisableDiscoveryEnumeration = true)]
    public void TheModelRespondsAtThePublishedLevel(MaskingVector vector)
    {
        Assert.Equal(vector.ResponseDbHl, vector.Respond(vector.MaskerDbEm).ResponseDbHl, 1e-9);
    }
}

/// <summary>One row of the file of vectors.</summary>
public sealed record MaskingVector(string Case, TwoRouteEars Ears, bool Bone, double? MaskerDbEm, double ResponseDbHl)
{
    public static IReadOnlyList<MaskingVector> All { get; } =
    [
        .. File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Masking", "Data", "masking_model_checks.csv")).Skip(2).Select(Parse),
    ];

    /// <summary>The ears of the case that begins with this letter.</summary>
    public static MaskingVector OfCase(string letter) => All.First(vector => vector.Case.TrimStart('"').StartsWith(letter + " ", StringComparison.Ordinal));

    public TwoRouteLevels Respond(double? maskerDbEm) =>
        Bone ? TwoRouteModel.Bone(Ears, maskerDbEm ?? double.NegativeInfinity) : TwoRouteModel.Air(Ears, maskerDbEm ?? double.NegativeInfinity);

    private static MaskingVector Parse(string line)
    {
        // The name of a case may hold commas; the ten cells after it do not.
        var cells = line.Split(',');
        var name = string.Join(',', cells[..^10]);
        var numbers = cells[^10..];
        double Number(int index) => double.Parse(numbers[index], CultureInfo.InvariantCulture);
        var bone = numbers[7] == "bone";
        return new MaskingVector(
            name,
            new TwoRouteEars(Number(0), Number(1), Number(2), Number(3), bone ? 0 : Number(4), Number(5), Number(6)),
            bone,
            numbers[8].Length == 0 ? null : Number(8),
            Number(9));
    }
}
