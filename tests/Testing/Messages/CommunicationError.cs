namespace TeleHearing.Testing.Messages;

/// <summary>What can happen to a message on its way: the classes of IEC 61784-3:2021, 5.3 (from memory; unintended repetition, incorrect sequence and unacceptable delay by shorter names).</summary>
public enum CommunicationError
{
    /// <summary>Changed.</summary>
    Corruption,

    /// <summary>Comes again.</summary>
    Repetition,

    /// <summary>Comes after one that was sent later.</summary>
    WrongOrder,

    /// <summary>Does not come.</summary>
    Loss,

    /// <summary>Comes later than it may.</summary>
    Delay,

    /// <summary>Nobody sent it.</summary>
    Insertion,

    /// <summary>Seems to come from whom it does not.</summary>
    Masquerade,

    /// <summary>Was sent to somebody else.</summary>
    WrongAddress,
}
