namespace TeleHearing.Simulation.Invariants;

/// <summary>Something that must never be, and was.</summary>
/// <param name="Rule">What must hold.</param>
/// <param name="What">What was seen.</param>
/// <param name="At">When.</param>
internal sealed record Violation(string Rule, string What, TimeSpan At);
