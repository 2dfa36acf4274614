using System.Threading.Channels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Link;

/// <summary>What the kit does when a session is over: hands over what is left, waits until the hub holds it, wipes, and attests it with its key.</summary>
internal sealed partial class HubLink
{
    /// <summary>How often it is looked whether the hub holds everything.</summary>
    private static readonly TimeSpan _wipeLook = TimeSpan.FromMilliseconds(200);

    private async Task WipeAsync(IKitConnection connection, ChannelReader<WipeOrder> wishes, CancellationTokenSource closed)
    {
        try
        {
            while (true)
            {
                await WipeAsync(connection, await wishes.ReadAsync(closed.Token), wishes, closed.Token);
            }
        }
        finally
        {
            // the other loops of this connection must end with it
            closed.Cancel();
        }
    }

    private async Task WipeAsync(IKitConnection connection, WipeOrder order, ChannelReader<WipeOrder> wishes, CancellationToken cancellationToken)
    {
        var (sessions, giveUp) = (order.Sessions ?? [], order.GiveUp == true);
        WipedJournal? wiped;
        while (true)
        {
            // one wipe is one for every order that waits: a session that is over must not wait behind one that cannot be wiped yet
            while (wishes.TryRead(out var more))
            {
                (sessions, giveUp) = ([.. sessions.Union(more.Sessions ?? [])], giveUp || more.GiveUp == true);
            }

            if ((wiped = TryWipe(sessions, giveUp)) is not null)
            {
                break;
            }

            await Task.Delay(_wipeLook, time, cancellationToken);
        }

        var credential = connector.Credential!;
        var word = new KitWipe(credential.Who.KitId, credential.Thumbprint, sessions, wiped.JournalId, wiped.LastSequence, journal.JournalId, time.GetUtcNow()) { LaidAside = wiped.LaidAside == 0 ? null : wiped.LaidAside };
        var reply = await connection.InvokeAsync<WipeReply>(nameof(IKitHub.Wiped), new SignedWipe(credential.Sign(KitJws.Wipe, word)), cancellationToken);
        if (reply.JournalKeyBase64 is not { } key || journal.Unlock(Convert.FromBase64String(key)) == UnlockOutcome.WrongKey)
        {
            // A new hello gives the key of the empty journal, and the hub asks again for the attestation it lacks.
            throw new InvalidDataException($"The hub did not take the attestation. {reply.Refusal?.Sentence}");
        }

        stop.TakeKey();
        facts.TrySettle();
        Log.Attested(logger, sessions.Count);
    }

    // Never in a session that goes on, in a step, or while stop is pressed: a fact must not find the journal closed.
    private WipedJournal? TryWipe(IReadOnlyList<SessionId> sessions, bool giveUp)
    {
        var other = screen.Now.Scene?.OpenSession() is { } shown && !sessions.Contains(shown);
        if (other || current.Now is not null || orders.IsBusy || facts.Owes || stop.IsPressed)
        {
            return null;
        }

        try
        {
            return journal.TryWipe(giveUp);
        }
        catch (StorageFaultException fault)
        {
            Log.NotWiped(logger, fault);
            return null;
        }
    }
}
