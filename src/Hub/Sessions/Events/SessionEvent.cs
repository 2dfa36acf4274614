namespace TeleHearing.Hub.Sessions.Events;

/// <summary>A fact of a session. Appended once, never changed; a wrong one is put right by a later one.</summary>
internal abstract record SessionEvent;

/// <summary>An event with its place and hub time.</summary>
internal sealed record RecordedEvent(long Sequence, DateTimeOffset At, SessionEvent Event);

/// <summary>Who did something, with the name as it was then.</summary>
internal sealed record Actor(string Id, string Name);

/// <summary>An event this build cannot read. It is carried along: its place in the log and its hash count, its content changes nothing.</summary>
internal sealed record UnreadableEvent(string Kind, int Shape, string Payload) : SessionEvent;

/// <summary>What stopped a session.</summary>
internal enum StopCause
{
    /// <summary>The stop button at the site.</summary>
    Site,

    /// <summary>The person took consent back.</summary>
    Consent,
}
