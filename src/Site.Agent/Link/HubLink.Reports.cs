using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Link;

/// <summary>What the kit sends: facts from the journal until the hub holds them, and live signals once, best effort.</summary>
internal sealed partial class HubLink
{
    /// <summary>Facts per message; a search of one ear fits into a few.</summary>
    private const int BatchSize = 32;

    /// <summary>How often facts the disk refused are tried again.</summary>
    private static readonly TimeSpan _settleEvery = TimeSpan.FromSeconds(2);

    private async Task SendReportsAsync(IKitConnection connection, CancellationTokenSource closed)
    {
        try
        {
            while (true)
            {
                closed.Token.ThrowIfCancellationRequested();
                var batch = journal.Pending(BatchSize);
                if (batch.Count == 0)
                {
                    await WaitForMoreAsync(closed.Token);
                    continue;
                }

                var before = journal.AcknowledgedSequence;
                var ack = await connection.InvokeAsync<ReportAck>(nameof(IKitHub.Report), Signed(batch), closed.Token);
                if (ack.Refusal?.Code == RefusalCodes.OutOfOrder)
                {
                    // The hub holds less than this kit believes. Nothing is wrong with the report, so it must not be passed over: a new hello settles where to go on.
                    throw new InvalidDataException($"The hub misses reports before {batch[0].Sequence}.");
                }

                heads.Take(ack.Heads);
                Acknowledge(ack.AcknowledgedSequence);
                if (ack.Refusal is { } refusal && ack.AcknowledgedSequence <= before)
                {
                    // no progress: the first of the batch is what it refuses, now and always
                    Log.ReportRefused(logger, batch[0].Sequence, refusal.Code, refusal.Sentence);
                    Acknowledge(batch[0].Sequence);
                }
            }
        }
        finally
        {
            // the other loop of this connection must end with it
            closed.Cancel();
        }
    }

    private SignedReports Signed(IReadOnlyList<JournaledReport> batch) => new(connector.Credential!.Sign(KitJws.Reports, new KitBatch(journal.JournalId, batch)));

    private void Acknowledge(long sequence)
    {
        try
        {
            journal.Acknowledge(sequence);
            stop.TakeAcknowledgement();
        }
        catch (StorageFaultException fault)
        {
            Log.AcknowledgementNotKept(logger, fault);
        }
    }

    private async Task WaitForMoreAsync(CancellationToken cancellationToken)
    {
        if (!facts.Owes)
        {
            await journal.WaitForMoreAsync(cancellationToken);
            return;
        }

        await Task.Delay(_settleEvery, time, cancellationToken);
        if (facts.TrySettle())
        {
            screen.SetFault(null);
        }
        else if (screen.Now.Fault is null)
        {
            screen.SetFault("This kit cannot save just now. Please wait. If this stays, call your clinic.");
        }
    }

    private async Task SendSignalsAsync(IKitConnection connection, CancellationToken cancellationToken)
    {
        await foreach (var signal in signals.ReadAsync(() => screen.Now.Scene?.SessionId, cancellationToken))
        {
            await connection.SendAsync(nameof(IKitHub.Signal), signal, cancellationToken);
        }
    }
}
