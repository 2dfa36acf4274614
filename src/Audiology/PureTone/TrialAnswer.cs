namespace TeleHearing.Audiology.PureTone;

/// <summary>What a trial came to, as the search is told.</summary>
public enum TrialAnswer
{
    /// <summary>A response inside the window; to a catch trial, a false response.</summary>
    Heard,

    /// <summary>No response inside the window.</summary>
    NotHeard,

    /// <summary>Counts for nothing: the room was too loud during the presentation.</summary>
    NoiseVoid,

    /// <summary>Counts for nothing: it was cut, paused, or spoiled in another way.</summary>
    OtherVoid,

    /// <summary>Pressed in the silence before the tone, so that the tone says nothing: a false response as well.</summary>
    EarlyPress,
}
