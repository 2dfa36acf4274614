namespace TeleHearing.Hub.Rights;

/// <summary>What going through a door leaves in the audit.</summary>
internal enum Trail
{
    /// <summary>Refusals only.</summary>
    Refusals,

    /// <summary>An entry that is durable before anything is shown or done.</summary>
    Before,

    /// <summary>An entry afterwards: what was done stands, durable and with who did it, in a log of its own.</summary>
    Follows,
}

/// <summary>A row of the rights table.</summary>
/// <param name="What">What is done, in words.</param>
/// <param name="Who">Who may.</param>
/// <param name="Doors">The ways by which it is done, see <see cref="Door"/>.</param>
internal sealed record RightsRow(string What, Parties Who, params IReadOnlyList<string> Doors)
{
    /// <summary>Whether who asks must have confirmed within the last minutes that it is them: for what hurts when a stranger does it at a desk left open.</summary>
    public bool NeedsConfirmation { get; init; }

    /// <summary>Whether it can be asked for while the console of who asks is covered: silence, and the way to uncover it.</summary>
    public bool WhileLocked { get; init; }

    /// <summary>What stands in the audit besides refusals, which always do.</summary>
    public Trail Trail { get; init; }
}
