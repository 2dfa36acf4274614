using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>The room as it is heard live: the newest reading for the bars, and about a second of readings together for words, which must stand still long enough to be read.</summary>
public sealed class RoomReadings
{
    private const int ReadingsInWords = 4;
    private readonly List<LiveRoom> _gathered = [];

    /// <summary>The newest reading; absent before the first, and when none has come for a while.</summary>
    public LiveRoom? Now { get; private set; }

    /// <summary>Energy average over the last full second; the newest reading until there is one.</summary>
    public LiveRoom? Second { get; private set; }

    /// <summary>Takes a reading in.</summary>
    public void Add(LiveRoom room)
    {
        Now = room;
        if (_gathered.Count > 0 && _gathered[0].LevelsDbSpl.Count != room.LevelsDbSpl.Count)
        {
            _gathered.Clear();
        }

        _gathered.Add(room);
        if (_gathered.Count >= ReadingsInWords || Second is null)
        {
            Second = Together();
            if (_gathered.Count >= ReadingsInWords)
            {
                _gathered.Clear();
            }
        }
    }

    /// <summary>Forgets everything.</summary>
    public void Clear()
    {
        _gathered.Clear();
        (Now, Second) = (null, null);
    }

    private LiveRoom Together() => _gathered[^1] with
    {
        LevelsDbSpl = [.. Enumerable.Range(0, _gathered[0].LevelsDbSpl.Count).Select(band => Mean(_gathered.Select(room => room.LevelsDbSpl[band])))],
        WeightedDb = Mean(_gathered.Select(room => room.WeightedDb)),
        Fault = _gathered.Select(room => room.Fault).LastOrDefault(fault => fault is not null),
    };

    private static double Mean(IEnumerable<double> levels) => 10 * Math.Log10(levels.Average(level => Math.Pow(10, level / 10)));
}
