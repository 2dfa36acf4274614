namespace TeleHearing.Contracts;

/// <summary>What a person shows to prove again that it is them. Either a passkey or a password with a code.</summary>
public sealed record ProofShown
{
    /// <summary>Answer of the browser's passkey, as JSON of WebAuthn.</summary>
    public string? Passkey { get; init; }

    /// <summary>Password.</summary>
    public string? Password { get; init; }

    /// <summary>Code that the authenticator shows now.</summary>
    public string? Code { get; init; }
}

/// <summary>Whether a proof was taken.</summary>
/// <param name="Refusal">Absent when it was.</param>
public sealed record ProofReply(Refusal? Refusal);

/// <summary>How a person can prove again that it is them. Neither: they came by a link, and have set up nothing yet.</summary>
/// <param name="Passkey">They have a passkey.</param>
/// <param name="Password">They have a password and an authenticator.</param>
public sealed record ProofWays(bool Passkey, bool Password);

/// <summary>Where the idle lock of a console stands.</summary>
/// <param name="Locked">The console is covered; only silence can be asked until a proof uncovers it.</param>
/// <param name="IdleSeconds">Seconds without a key or the pointer after which it covers itself.</param>
/// <param name="SessionRunning">Whether a session this person controls is running.</param>
/// <param name="IdleForSeconds">Seconds since somebody was last seen at any console of this sign-in.</param>
public sealed record LockView(bool Locked, int IdleSeconds, bool SessionRunning, int IdleForSeconds);

/// <summary>What a console says of being used.</summary>
/// <param name="Left">Nobody is there: cover it. False: somebody is.</param>
/// <param name="ByHand">The person covers it, so it is covered also when somebody is at another tab.</param>
public sealed record LockReport(bool Left, bool ByHand);

/// <summary>What came of asking for silence.</summary>
/// <param name="Refusal">Absent when every session this person controls is silent and on hold.</param>
public sealed record SilenceReply(Refusal? Refusal);
