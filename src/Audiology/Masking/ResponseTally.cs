namespace TeleHearing.Audiology.Masking;

/// <summary>Two of three: one lapse or one press without cause decides nothing.</summary>
internal struct ResponseTally
{
    private const int Deciding = 2;

    private int _heard;
    private int _missed;

    /// <summary>Adds an answer. True or false when it is decided, none while it is not.</summary>
    public bool? Add(bool heard)
    {
        if (heard)
        {
            return ++_heard >= Deciding ? true : null;
        }

        return ++_missed >= Deciding ? false : null;
    }
}
