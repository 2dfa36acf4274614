namespace TeleHearing.Contracts;

/// <summary>The hub asks a kit to wipe what it holds of sessions that are over.</summary>
/// <param name="Sessions">The sessions.</param>
/// <param name="GiveUp">Whether journals that were laid aside and never confirmed are wiped too: somebody at the clinic gave them up. Absent: they stay.</param>
public sealed record WipeOrder(IReadOnlyList<SessionId> Sessions, bool? GiveUp = null);

/// <summary>A kit's word, signed with its key, that nothing of these sessions is left on it: everything was handed over and confirmed, then its journal was overwritten and deleted and the journal's key forgotten.</summary>
/// <param name="KitId">The kit.</param>
/// <param name="Key">Thumbprint of the key it is signed with.</param>
/// <param name="Sessions">The sessions.</param>
/// <param name="JournalId">The journal that was wiped.</param>
/// <param name="LastSequence">Its last sequence, which the hub had confirmed.</param>
/// <param name="NextJournal">The empty journal in its place.</param>
/// <param name="At">When, by the kit's clock.</param>
public sealed record KitWipe(KitId KitId, string Key, IReadOnlyList<SessionId> Sessions, JournalId JournalId, long LastSequence, JournalId NextJournal, DateTimeOffset At)
{
    /// <summary>How many journals that were laid aside stay on the kit, since they hold entries that no hub has confirmed: then this is no word that nothing is left. Absent: none.</summary>
    public int? LaidAside { get; init; }
}

/// <summary>A <see cref="KitWipe"/> as JWS of type <see cref="KitJws.Wipe"/>; kept by the hub as it came.</summary>
public sealed record SignedWipe(string Signed);

/// <summary>The hub's answer to an attestation: it has deleted its half of the wiped journal.</summary>
/// <param name="Refusal">Why it is not taken.</param>
/// <param name="JournalKeyBase64">Key of the next journal.</param>
public sealed record WipeReply(Refusal? Refusal, string? JournalKeyBase64);
