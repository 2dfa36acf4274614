namespace TeleHearing.Links;

/// <summary>What showed that a record did not come as it was sent.</summary>
public enum LinkDefence
{
    /// <summary>It has no seal, or one that cannot be read: something was put in, taken out of it or joined with another.</summary>
    Form,

    /// <summary>The seal does not fit what is sealed, the direction or the connection: changed, invented, or of another connection.</summary>
    Tag,

    /// <summary>The seal fits, but its number is not the next: repeated, out of order, or after one that is missing.</summary>
    Sequence,

    /// <summary>It does not end.</summary>
    Length,
}

/// <summary>A record of a sealed connection did not come as it was sent. Nothing of it was used; the connection is closed and made anew.</summary>
public sealed class LinkFaultException : IOException
{
    public LinkFaultException(LinkDefence defence, long expected)
        : base($"Record {expected} of the connection did not come as it was sent ({defence}). Nothing of it was used; the connection is made anew.") => (Defence, Expected) = (defence, expected);

    /// <summary>What showed it.</summary>
    public LinkDefence Defence { get; }

    /// <summary>Number of the record that was due.</summary>
    public long Expected { get; }
}
