namespace TeleHearing.Audiology.PureTone;

/// <summary>A way of finding one threshold, trial by trial. Ask <see cref="Next"/>, carry it out, tell what it came to, until the move is <see cref="SearchMove.Finished"/>.</summary>
/// <remarks>Every procedure ends, whatever is answered. Not safe for several threads at once.</remarks>
public interface IThresholdProcedure
{
    /// <summary>What to do next. The same until <see cref="Record"/> is called.</summary>
    SearchMove Next { get; }

    /// <summary>Tells what the move in <see cref="Next"/> came to.</summary>
    /// <exception cref="InvalidOperationException">The procedure is over.</exception>
    void Record(TrialAnswer answer);
}
