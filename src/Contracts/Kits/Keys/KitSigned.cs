namespace TeleHearing.Contracts;

/// <summary>The hub's half of a link's name: a number nobody can guess, for this connection alone.</summary>
public sealed record KitChallenge(string Nonce)
{
    /// <summary>Name of the link: both sides have put a fresh number into it, so that nothing signed for another link fits.</summary>
    public string LinkWith(string kitNonce) => $"{Nonce}.{kitNonce}";
}

/// <summary>What a kit signs to show, on a connection, that it holds its key.</summary>
/// <param name="KitId">The kit.</param>
/// <param name="Link">Name of the link, see <see cref="KitChallenge"/>.</param>
/// <param name="JournalId">Journal it speaks of.</param>
public sealed record KitHelloProof(KitId KitId, string Link, JournalId JournalId);

/// <summary>What the hub signs to show that it is the hub the kit was enrolled with.</summary>
/// <param name="KitId">The kit.</param>
/// <param name="Link">Name of the link.</param>
public sealed record KitWelcomeProof(KitId KitId, string Link);

/// <summary>An order with whom it is for. Signed by the hub; a kit takes no other.</summary>
/// <param name="KitId">The kit.</param>
/// <param name="Key">Thumbprint of the kit's key.</param>
/// <param name="Link">Name of the link it is sent on.</param>
/// <param name="Order">The order: session, step, number, epoch of control and expiry are in it.</param>
public sealed record KitOrder(KitId KitId, string Key, string Link, StepOrder Order);

/// <summary>An order on its way: a <see cref="KitOrder"/> as JWS of type <see cref="KitJws.Order"/>.</summary>
public sealed record SignedOrder(string Signed);

/// <summary>Journaled facts on their way, signed by the kit.</summary>
/// <param name="JournalId">Journal they are from.</param>
/// <param name="Reports">The facts, in order.</param>
public sealed record KitBatch(JournalId JournalId, IReadOnlyList<JournaledReport> Reports);

/// <summary>A <see cref="KitBatch"/> as JWS of type <see cref="KitJws.Reports"/>. What is signed are the bytes as sent, so that a hub that knows fewer fields can still check it.</summary>
public sealed record SignedReports(string Signed);
