namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>How a check came out.</summary>
internal enum Sign
{
    Ok,

    /// <summary>Works, but worth knowing.</summary>
    Attention,

    /// <summary>Something will not work.</summary>
    Fault,
}

/// <summary>One line of the doctor.</summary>
/// <param name="Sign">How it came out.</param>
/// <param name="Subject">What was looked at.</param>
/// <param name="Text">What was found.</param>
/// <param name="Mend">What to do about it.</param>
internal sealed record Finding(Sign Sign, string Subject, string Text, string? Mend = null)
{
    /// <summary>The line as printed.</summary>
    public override string ToString() => $"{Word,-9}  {Subject}: {Text}{(Mend is null ? "" : $" {Mend}")}";

    private string Word => Sign switch
    {
        Sign.Ok => "ok",
        Sign.Attention => "attention",
        _ => "FAULT",
    };
}
