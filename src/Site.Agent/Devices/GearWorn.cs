using System.Text.Json;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Devices;

/// <summary>What the person wears.</summary>
/// <param name="Route">By air earphones on both ears; by bone the vibrator at this place and the earphone of the other ear.</param>
/// <param name="Ear">Ear tested by bone; absent by air.</param>
internal sealed record Worn(ConductionRoute Route, Ear? Ear)
{
    public static Worn Earphones { get; } = new(ConductionRoute.Air, null);

    /// <summary>What an ear and route need.</summary>
    public static Worn For(ConductionRoute route, Ear ear) => route == ConductionRoute.Air ? Earphones : new(route, ear);

    /// <summary>In words for a clinician.</summary>
    public string Words => Route switch
    {
        ConductionRoute.Air => "the earphones on both ears",
        ConductionRoute.BoneMastoid => $"the vibrator behind the {Side} ear",
        _ => $"the vibrator on the forehead for the {Side} ear",
    };

    private string Side => Ear == Audiology.Ear.Right ? "right" : "left";
}

/// <summary>What the kit was last told that the person wears, kept across restarts: a tone meant for one transducer must never go to another.</summary>
/// <remarks>From the moment a change is asked for until it is marked as done nobody knows, and nothing is played. Called from the step loop; read from any thread.</remarks>
internal sealed class GearWorn(string folder, IDurableFiles files)
{
    /// <summary>Name of the file in the data folder.</summary>
    public const string FileName = "worn.json";

    private readonly Lock _lock = new();
    private bool _read;
    private Worn? _now;

    /// <summary>It changed; absent while a change is under way.</summary>
    public event Action<Worn?>? Changed;

    /// <summary>What is worn; absent while nobody knows. A kit that was never told of anything else has its earphones on.</summary>
    public Worn? Now
    {
        get
        {
            lock (_lock)
            {
                if (!_read)
                {
                    (_read, _now) = (true, Read());
                }

                return _now;
            }
        }
    }

    /// <summary>Sets it; durable when it returns.</summary>
    /// <exception cref="StorageFaultException">The disk did not take it. What is worn then counts as not known.</exception>
    public void Set(Worn? worn)
    {
        lock (_lock)
        {
            (_read, _now) = (true, null);
            StorageFaultException.Guard(() => files.Replace(Path.Combine(folder, FileName), JsonSerializer.SerializeToUtf8Bytes(worn, Protocol.Json)));
            _now = worn;
        }

        Changed?.Invoke(worn);
    }

    private Worn? Read()
    {
        if (files.ReadWhole(Path.Combine(folder, FileName)) is not { } content)
        {
            return Worn.Earphones;
        }

        try
        {
            return JsonSerializer.Deserialize<Worn>(content, Protocol.Json);
        }
        catch (JsonException)
        {
            return null;
        }
    }
}
