using TeleHearing.Contracts;

namespace TeleHearing.Hub.Data;

/// <summary>What an erasure came to, as the journal of erasures keeps it, sealed by the clinic's key.</summary>
/// <param name="Reference">The person, by the clinic's reference.</param>
/// <param name="Reason">Why it was asked.</param>
/// <param name="By">Account of who asked; absent for the command line.</param>
/// <param name="KeepYears">Years that records are kept.</param>
/// <param name="Erased">Sessions whose content is gone for good.</param>
/// <param name="Kept">What was kept, until when and why.</param>
internal sealed record ErasureAccount(string Reference, string Reason, string? By, int KeepYears, IReadOnlyList<SessionId> Erased, IReadOnlyList<KeptRecord> Kept);

/// <summary>Something that was kept.</summary>
/// <param name="What">What.</param>
/// <param name="Until">Last day it is kept; absent when no day is set.</param>
/// <param name="Why">Why.</param>
internal sealed record KeptRecord(string What, DateOnly? Until, string Why);
