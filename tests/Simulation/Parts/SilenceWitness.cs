using TeleHearing.Contracts;

namespace TeleHearing.Simulation.Parts;

/// <summary>Keeps what has to be silent at a kit: steps that were cut, and everything while a stop stands. Counts blocks instead of time, so that a machine held up in between is not mistaken for one that plays on.</summary>
internal sealed class SilenceWitness
{
    /// <summary>What was on falls to silence in one block, so that nothing clicks.</summary>
    private const int FallingBlocks = 1;

    /// <summary>The same, and two for what reaches a machine that was held up in another order than it was sent.</summary>
    private const int BlocksAfterDeadline = 3;

    private readonly Dictionary<StepId, int> _cut = [];
    private readonly Dictionary<StepId, (TimeSpan By, int Blocks)> _toldOver = [];
    private bool _stopStands;
    private bool _stopKept;
    private bool _stopKnown;
    private bool _stopAnswered;
    private bool _stopHeld;
    private int _blocksSinceStop;

    /// <summary>The kit was told to cut a step.</summary>
    public void Cut(StepId stepId) => _cut.TryAdd(stepId, 0);

    /// <summary>A console was told that a step is cut: whatever the kit hears, its lease cannot last beyond this.</summary>
    public void ToldOver(StepId stepId, TimeSpan by) => _toldOver.TryAdd(stepId, (by, 0));

    /// <summary>Stop reached the kit's program. It stands until the hub holds it and has answered it.</summary>
    public void Stop()
    {
        (_stopKnown, _stopAnswered) = _stopStands ? (_stopKnown, _stopAnswered) : (false, false);
        (_stopStands, _stopHeld, _blocksSinceStop) = (true, false, 0);
    }

    /// <summary>The kit's disk took it too, so that a restart does not take it back.</summary>
    public void StopKept() => _stopKept = true;

    /// <summary>The hub said that it holds a report of a stop.</summary>
    public void StopHeld()
    {
        _stopHeld = true;
        Release();
    }

    /// <summary>The hub said whether the session is stopped.</summary>
    public void Scene(bool stopped)
    {
        if (stopped)
        {
            (_stopKnown, _stopAnswered) = (true, false);
        }
        else if (_stopKnown || _stopHeld)
        {
            _stopAnswered = true;
            Release();
        }
    }

    /// <summary>The kit's program starts. What stop its disk did not take is forgotten with it.</summary>
    public void Started()
    {
        _stopStands = _stopStands && _stopKept;
        (_stopKnown, _stopAnswered) = (false, false);
    }

    /// <summary>A block that is not silent goes to the output.</summary>
    /// <returns>What it is played in spite of; absent when it may be.</returns>
    public string? WhyNot(StepId? step, TimeSpan now)
    {
        if (_stopStands && ++_blocksSinceStop > FallingBlocks)
        {
            return "although stop was pressed";
        }

        if (step is not { } stepId)
        {
            return null;
        }

        if (_cut.TryGetValue(stepId, out var blocks))
        {
            _cut[stepId] = ++blocks;
            return blocks > FallingBlocks ? "although it was told to cut its step" : null;
        }

        if (_toldOver.TryGetValue(stepId, out var over) && now > over.By)
        {
            _toldOver[stepId] = (over.By, over.Blocks + 1);
            return over.Blocks + 1 > BlocksAfterDeadline ? "longer than a lease after its step was cut at the console" : null;
        }

        return null;
    }

    private void Release()
    {
        if (_stopHeld && _stopAnswered)
        {
            (_stopStands, _stopKept) = (false, false);
        }
    }
}
