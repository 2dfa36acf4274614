using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Hub.Cli.Rehearsal;

/// <summary>What a rehearsal is asked to do.</summary>
internal sealed record RehearsalOptions
{
    /// <summary>The virtual listener's audiogram.</summary>
    public required FileInfo Listener { get; init; }

    /// <summary>Seed of everything random: the listener's answers and the order of trials.</summary>
    public required int Seed { get; init; }

    /// <summary>Folder for what the rehearsal leaves behind.</summary>
    public required DirectoryInfo Out { get; init; }

    /// <summary>"quiet" or the path of a sound file of the room.</summary>
    public required string Room { get; init; }

    /// <summary>Stopping rule.</summary>
    public required StoppingRule Rule { get; init; }

    /// <summary>"fast" or "realtime".</summary>
    public required string Pace { get; init; }

    /// <summary>Spread of the listener's answers around the threshold, dB; absent for the agent's own default.</summary>
    public double? ListenerSpreadDb { get; init; }

    /// <summary>Keep the data folders of hub and kit under <see cref="Out"/>.</summary>
    public bool KeepData { get; init; }

    /// <summary>Write all sound played to a file in <see cref="Out"/>.</summary>
    public bool RecordSound { get; init; }
}
