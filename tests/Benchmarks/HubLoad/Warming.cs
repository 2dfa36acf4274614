using System.Runtime;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>Says when programs run as they will from then on: what they do often is compiled for good, as in a hub that has run for some minutes. Until then the compiler takes up to half of the processor time beside them.</summary>
/// <param name="mostTurns">Most turns that are waited for: figures are taken then all the same, and it is said beside them.</param>
/// <param name="servers">Programs beside this one.</param>
internal sealed class Warming(int mostTurns, params IReadOnlyList<ServerProcess> servers)
{
    /// <summary>Turns in a row in which hardly anything was compiled: the compiler pauses while it gathers what to compile next.</summary>
    private const int Still = 2;

    /// <summary>What counts as hardly anything, as a part of the time that went by.</summary>
    private const double Share = 0.02;

    private TimeSpan _compiled;
    private long _at;
    private int _turns;
    private int _still;

    /// <summary>Whether figures may be taken.</summary>
    public bool Done => _turns >= mostTurns || _still >= Still;

    /// <summary>A turn is over.</summary>
    /// <param name="beside">What yet another program has spent compiling so far.</param>
    public async Task Turned(TimeSpan beside = default)
    {
        var compiled = JitInfo.GetCompilationTime() + beside;
        foreach (var server in servers)
        {
            compiled += await server.Compiled();
        }

        var elapsed = _at == 0 ? TimeSpan.Zero : TimeProvider.System.GetElapsedTime(_at);
        _still = _at != 0 && compiled - _compiled < elapsed * Share ? _still + 1 : 0;
        (_compiled, _at) = (compiled, TimeProvider.System.GetTimestamp());
        _turns++;
        if (_turns == mostTurns && _still < Still)
        {
            Figures.Line($"  still compiling after {_turns} turns; what follows has a share of that in it");
        }
    }
}
