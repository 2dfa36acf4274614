namespace TeleHearing.Contracts;

/// <summary>A warning sign the clinician must answer before a session leaves Review.</summary>
/// <param name="Code">Stable code.</param>
/// <param name="Question">The question, in plain words.</param>
/// <param name="Source">Where the sign is published.</param>
public sealed record WarningSign(string Code, string Question, string Source);

/// <summary>The set of warning signs, with its version; stored answers name both.</summary>
public static class WarningSigns
{
    /// <summary>Version of the set below.</summary>
    public const string Version = "2022-10-17/1";

    /// <summary>All signs. Time limits are those in force since 17 October 2022.</summary>
    public static IReadOnlyList<WarningSign> All { get; } =
    [
        new("deformity", "Is an ear visibly misshapen, from birth or by injury?", "21 CFR 801.422"),
        new("fluid", "Has fluid, pus or blood come from an ear in the last 6 months?", "21 CFR 801.422"),
        new("pain", "Is there pain or discomfort in an ear?", "21 CFR 801.422"),
        new("wax-foreign-body", "Is an ear blocked by wax, or may something be stuck in it?", "21 CFR 801.422"),
        new("dizziness", "Has there been dizziness, lately or for long?", "21 CFR 801.422"),
        new("sudden-loss", "Did hearing drop suddenly, quickly, or come and go, in the last 6 months?", "21 CFR 801.422"),
        new("one-sided", "Is hearing loss or ringing in one ear only, or clearly worse in one?", "21 CFR 801.422"),
        new("facial-weakness", "Is the face weak, drooping or numb on one side?", "NICE NG98"),
        new("head-injury", "Has there been a head injury?", "common practice"),
    ];
}
