namespace TeleHearing.Audiology.Acoustics;

/// <summary>What all lane groups do with their states.</summary>
internal static class LaneStates
{
    /// <summary>Sets what is too small to hear to zero: in digital silence the states would fade into denormal numbers, on which arithmetic can be a hundred times slower.</summary>
    public static void Flush(Span<double> states)
    {
        foreach (ref var state in states)
        {
            if (Math.Abs(state) < 1e-100)
            {
                state = 0;
            }
        }
    }

    /// <summary>Clears every group from a place on.</summary>
    public static void ClearFrom(double[][] groups, int place)
    {
        foreach (var rows in groups)
        {
            Array.Clear(rows, place, rows.Length - place);
        }
    }
}
