namespace TeleHearing.Audiology.Acoustics;

/// <summary>Filters side by side in the lanes of vectors.</summary>
internal interface ILaneGroups
{
    /// <summary>Filters samples and adds up the squares of what comes out.</summary>
    void Process(ReadOnlySpan<double> samples);

    /// <summary>Sum of the squares of a filter's output, before its gain.</summary>
    double Energy(int filter);

    /// <summary>Sets the sums to zero.</summary>
    void ResetEnergy();

    /// <summary>Forgets everything.</summary>
    void Reset();
}
