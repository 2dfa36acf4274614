using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SignedIn;

namespace TeleHearing.Hub.Rights;

/// <summary>Whether somebody may go through a door now: the rights table, and what the hub knows of their sign-in. Without a sign-in there is only the machine's own command line.</summary>
internal sealed class EntryGuard(SignIns signIns, HubSettings settings)
{
    private static readonly Refusal _ended = new(RefusalCodes.NotSignedIn, "You are not signed in any more, so nothing was done.", "Sign in again.");

    private static readonly Refusal _locked = new(RefusalCodes.Locked, "Your console is covered, so nothing was done. Silence can be asked for at any time.", "Uncover the console, then ask again.");

    private static readonly Refusal _unconfirmed = new(
        RefusalCodes.ConfirmationNeeded,
        "This asks for a fresh proof that it is you; nothing was done yet.",
        "Confirm with your passkey, or with password and code; it counts for five minutes. If you came by a link and have set up neither, come by a new link, then make one of them on your account page.");

    /// <summary>Why not; null when they may.</summary>
    public Refusal? Refusal(Caller caller, string door) => RightsTable.Refusal(caller, door) ?? (caller is PersonCaller { SignInId: { } id } ? OfSignIn(id, door) : null);

    /// <summary>Reads anew what a refusal would rest on where another hub may have changed it, and what is not quite fresh. To be awaited before <see cref="Refusal"/>.</summary>
    public async Task Fresh(Caller? caller, string door)
    {
        if (settings.IsShared && caller is PersonCaller { SignInId: { } id } && await signIns.Find(id, CancellationToken.None) is not null && OfSignIn(id, door) is not null)
        {
            await signIns.Read(id, CancellationToken.None);
        }
    }

    private Refusal? OfSignIn(string id, string door)
    {
        if (RightsTable.Row(door) is not { } row || row.Who.HasFlag(Parties.Anyone))
        {
            return null;
        }

        if (signIns.Known(id) is not { } signIn)
        {
            return _ended;
        }

        return signIn.Locked && !row.WhileLocked ? _locked
            : row.NeedsConfirmation && !signIns.IsConfirmed(signIn) ? _unconfirmed
            : null;
    }
}
