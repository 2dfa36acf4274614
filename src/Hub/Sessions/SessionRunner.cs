using TeleHearing.Audiology.PureTone.Estimation;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>What a try at deciding came to.</summary>
/// <param name="Batch">What to append; null when there is nothing to append.</param>
/// <param name="Answer">The answer once that is durable, or the refusal.</param>
internal sealed record Attempt<TAnswer>(AppendBatch? Batch, TAnswer Answer);

/// <summary>Load, decide, append; and again when somebody was faster.</summary>
internal sealed class SessionRunner
{
    /// <summary>Tries before a command is refused as losing every race.</summary>
    private const int Tries = 10;

    private readonly SessionStore _store;
    private readonly KitSessions _kitSessions;
    private readonly KitLinks _links;
    private readonly HubSettings _settings;
    private readonly TimeProvider _time;
    private readonly KitFacts _kitFacts;

    public SessionRunner(SessionStore store, KitSessions kitSessions, KitLinks links, KitFacts kitFacts, HubSettings settings, TimeProvider time)
    {
        _kitFacts = kitFacts;
        _store = store;
        _kitSessions = kitSessions;
        _links = links;
        _settings = settings;
        _time = time;
    }

    /// <summary>Runs a decision until its events are durable.</summary>
    /// <param name="decide">Loads what it needs and decides; called again after a lost race.</param>
    /// <param name="carriedOutBefore">The answer when the same command became durable in the meantime.</param>
    /// <param name="cancellationToken">Cancels before the append begins.</param>
    /// <exception cref="IOException">Every race was lost.</exception>
    public async Task<TAnswer> Run<TAnswer>(
        Func<CancellationToken, Task<Attempt<TAnswer>>> decide,
        Func<CancellationToken, Task<TAnswer>> carriedOutBefore,
        CancellationToken cancellationToken)
    {
        for (var tries = 0; tries < Tries; tries++)
        {
            var attempt = await decide(cancellationToken);
            if (attempt.Batch is null)
            {
                return attempt.Answer;
            }

            switch (await _store.Append(attempt.Batch, cancellationToken))
            {
                case AppendOutcome.Appended:
                    return attempt.Answer;
                case AppendOutcome.CarriedOutBefore:
                    return await carriedOutBefore(cancellationToken);
                default:
                    continue;
            }
        }

        throw new IOException($"An append lost {Tries} races in a row.");
    }

    /// <summary>The facts a decision about this session needs.</summary>
    public async Task<SessionFacts> Facts(LoadedSession loaded, CancellationToken cancellationToken)
    {
        // Only the first taking of control asks whether the kit is free; others need no look into the database.
        var busy = loaded.State.Stage == SessionStage.Scheduled
            && await _kitSessions.FindOpen(loaded.Plan.KitId, cancellationToken) is { } open
            && open != loaded.State.SessionId;
        var birth = loaded.Plan.Person.BirthDate;
        return new SessionFacts(_time.GetUtcNow(), await _links.Reaches(loaded.Plan.KitId, cancellationToken), busy, _settings.GapLimit)
        {
            // The gate of the kit check alone asks; the many reports of testing need no further look.
            AgeYears = birth == default ? null : EstimateAge.WholeYears(birth, DateOnly.FromDateTime(_time.GetLocalNow().Date)),
            Playable = loaded.State.Protocol is null ? null : await _kitFacts.Playable(loaded.Plan.KitId, cancellationToken),
            KitHolds = loaded.State.Stage == SessionStage.KitCheck ? await _kitFacts.HoldsOnTesting(loaded.Plan.KitId, loaded.Plan.Person.Reference, cancellationToken) : [],
        };
    }
}
