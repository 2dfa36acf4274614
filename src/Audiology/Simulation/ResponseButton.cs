namespace TeleHearing.Audiology.Simulation;

/// <summary>The simulated person's button: responses to what was heard, and presses without cause as a Poisson process.</summary>
internal sealed class ResponseButton
{
    private const double ShortestRestMs = 50;

    private readonly VirtualListenerSettings _settings;
    private readonly Random _falseAlarms;
    private readonly PriorityQueue<ListenerPress, long> _coming = new();
    private double _nextFalseAlarm;
    private long _freeFrom;

    public ResponseButton(VirtualListenerSettings settings, Random falseAlarms)
    {
        _settings = settings;
        _falseAlarms = falseAlarms;
        _nextFalseAlarm = Gap();
    }

    /// <summary>Plans a response.</summary>
    public void Plan(ListenerPress press) => _coming.Enqueue(press, press.DownFrame);

    /// <summary>The presses that begin before a frame. A press that would begin while the button is down does not happen.</summary>
    public IReadOnlyList<ListenerPress> Until(long endFrame)
    {
        while (_nextFalseAlarm < endFrame)
        {
            var down = (long)_nextFalseAlarm;
            Plan(new ListenerPress(down, down + (long)(_settings.PressMedianMs * _settings.SampleRateHz / 1000)));
            _nextFalseAlarm += Gap();
        }

        if (_coming.Count == 0)
        {
            return [];
        }

        var presses = new List<ListenerPress>();
        while (_coming.TryPeek(out var press, out var down) && down < endFrame)
        {
            _coming.Dequeue();
            if (down >= _freeFrom)
            {
                presses.Add(press);
                _freeFrom = press.UpFrame + (long)(ShortestRestMs * _settings.SampleRateHz / 1000);
            }
        }

        return presses;
    }

    private double Gap() => _settings.FalseAlarmsPerMinute > 0
        ? -Math.Log(1 - _falseAlarms.NextDouble()) * 60 * _settings.SampleRateHz / _settings.FalseAlarmsPerMinute
        : double.PositiveInfinity;
}
