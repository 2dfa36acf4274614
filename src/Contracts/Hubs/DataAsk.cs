using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What an owner asks about the data of the hub as a whole.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "ask")]
[JsonDerivedType(typeof(BackUp), "back-up")]
[JsonDerivedType(typeof(ExportPerson), "export-person")]
[JsonDerivedType(typeof(ErasePerson), "erase-person")]
[JsonDerivedType(typeof(ReadErasures), "read-erasures")]
public abstract record DataAsk;

/// <summary>What is asked, on its way from a console to the hub.</summary>
/// <param name="ProtocolVersion">Version the console speaks.</param>
/// <param name="Ask">What is asked.</param>
public sealed record DataEnvelope(int ProtocolVersion, DataAsk Ask);

/// <summary>A backup of everything.</summary>
/// <param name="Passphrase">Locks the keys in it; 15 to 1000 characters.</param>
public sealed record BackUp(string Passphrase) : DataAsk;

/// <summary>Everything about a person, to be handed to them.</summary>
/// <param name="Reference">The clinic's reference.</param>
public sealed record ExportPerson(string Reference) : DataAsk;

/// <summary>Erase what is recorded about a person, as far as it need not be kept.</summary>
/// <param name="Reference">The clinic's reference.</param>
/// <param name="Reason">Why; at most 500 characters.</param>
/// <param name="KeepYears">Years after its last entry that a session is kept, 0 to 100.</param>
public sealed record ErasePerson(string Reference, string Reason, int KeepYears) : DataAsk;

/// <summary>What was erased so far.</summary>
public sealed record ReadErasures : DataAsk;

/// <summary>Answer to a <see cref="DataAsk"/>.</summary>
/// <param name="Ticket">Number under which what was asked for is fetched, once and within five minutes, at <see cref="Path"/>; absent when nothing is fetched.</param>
/// <param name="Erasure">What was erased and kept.</param>
/// <param name="Erasures">What was erased so far, newest first.</param>
/// <param name="Refusal">Why nothing was done.</param>
public sealed record DataReply(Guid? Ticket, ErasureView? Erasure, IReadOnlyList<ErasureEntry>? Erasures, Refusal? Refusal)
{
    /// <summary>Address of what is fetched; the ticket follows after a slash.</summary>
    public const string Path = "/api/data";
}

/// <summary>What an erasure came to.</summary>
/// <param name="Sessions">How many sessions were erased.</param>
/// <param name="Kept">What was kept.</param>
public sealed record ErasureView(int Sessions, IReadOnlyList<KeptView> Kept);

/// <summary>Something that was kept.</summary>
/// <param name="What">What.</param>
/// <param name="Until">Last day; absent when no day is set.</param>
/// <param name="Why">Why.</param>
public sealed record KeptView(string What, DateOnly? Until, string Why);

/// <summary>An erasure of before.</summary>
/// <param name="At">When.</param>
/// <param name="Reference">Of whom.</param>
/// <param name="Reason">Why it was asked.</param>
/// <param name="Came">What it came to.</param>
public sealed record ErasureEntry(DateTimeOffset At, string Reference, string Reason, ErasureView Came);
