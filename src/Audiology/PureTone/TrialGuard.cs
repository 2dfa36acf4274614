namespace TeleHearing.Audiology.PureTone;

/// <summary>What every search does about trials beside moving the level: silent catch trials, responses to silence, spoiled trials, and the bound on them all.</summary>
/// <remarks>
/// After a response to silence the next silence is made longer; after several at one frequency the task is explained again and the frequency begins anew, a limited
/// number of times (common practice). Nothing here looks at a threshold, so that catch trials cannot change one.
/// </remarks>
internal sealed class TrialGuard(SearchSettings settings, Random random)
{
    private int _falseResponses;
    private int _restarts;
    private bool _catchIsDue;
    private bool _lengthenGap;

    /// <summary>Tones that count, since the last beginning.</summary>
    public int Tones { get; private set; }

    /// <summary>Spoiled presentations of the whole search.</summary>
    public int Voids { get; private set; }

    /// <summary>Presents a tone.</summary>
    public SearchMove Tone(double levelDbHl, bool counts) => new SearchMove.PresentTone(HearingLevel.FromDecibels(levelDbHl), counts) { LengthenGap = _lengthenGap };

    /// <summary>Presents a tone, or silence instead of it for once. Never silence twice in a row, so that a person who waits is not kept waiting without a tone.</summary>
    public SearchMove CatchOrTone(double levelDbHl, bool counts)
    {
        var rate = _falseResponses > 0 ? Math.Max(settings.CatchRate, settings.CatchRateAfterFalseResponse) : settings.CatchRate;
        _catchIsDue = !_catchIsDue && settings.CatchRate > 0 && random.NextDouble() < rate;
        return _catchIsDue ? Silence(levelDbHl) : Tone(levelDbHl, counts);
    }

    /// <summary>Presents silence, for a procedure that has a reason to ask for it. The next one of chance then waits for a tone.</summary>
    public SearchMove Silence(double levelDbHl)
    {
        _catchIsDue = true;
        return new SearchMove.PresentCatch(HearingLevel.FromDecibels(levelDbHl)) { LengthenGap = _lengthenGap };
    }

    /// <summary>Notes a trial without a false response.</summary>
    public void NoteCalm() => _lengthenGap = false;

    /// <summary>Notes a tone that counts. True when there have been so many that the search must end.</summary>
    public bool NoteTone() => ++Tones >= settings.MaximumPresentations;

    /// <summary>Notes a spoiled presentation. True when there have been so many that the search must end.</summary>
    public bool NoteVoid() => ++Voids >= settings.MaximumVoids;

    /// <summary>Notes a spoiled presentation of a search. How the search must end now, or nothing when the presentation comes again.</summary>
    /// <param name="noise">Whether room noise spoiled it.</param>
    /// <param name="floorDbHl">Lowest level that the room still lets through, dB HL.</param>
    /// <param name="maximumDbHl">Highest level of the search, dB HL.</param>
    /// <param name="lowestHeardDbHl">Lowest level heard so far, which noise then makes the bound; absent when nothing was heard.</param>
    public SearchMove? AfterVoid(bool noise, double floorDbHl, double maximumDbHl, double? lowestHeardDbHl)
    {
        if (floorDbHl <= maximumDbHl && !NoteVoid())
        {
            return null;
        }

        return noise && lowestHeardDbHl is { } heard
            ? new SearchMove.Finished(new ThresholdOutcome.NoiseLimited(heard))
            : EndedByVoids(noise);
    }

    /// <summary>Notes a response to silence. What must happen now, or nothing when the search goes on with a longer silence.</summary>
    public SearchMove? NoteFalseResponse()
    {
        _lengthenGap = true;
        if (++_falseResponses < settings.FalseResponseLimit)
        {
            return null;
        }

        var times = $"The person responded {_falseResponses} times to silence.";
        return _restarts < settings.RestartsAfterInstruction
            ? new SearchMove.Reinstruct($"{times} Explain the task again; the frequency then begins anew.")
            : Ended(_restarts == 0
                ? $"{times} Explain the task again and repeat."
                : $"{times} The task had been explained again before, so no threshold can be trusted here.");
    }

    /// <summary>Begins anew after the task was explained.</summary>
    public void Restart()
    {
        _restarts++;
        (_falseResponses, Tones, _catchIsDue, _lengthenGap) = (0, 0, false, false);
    }

    /// <summary>Ends without a threshold.</summary>
    public static SearchMove Ended(string reason) => new SearchMove.Finished(new ThresholdOutcome.NotEstablished(reason));

    /// <summary>Ends because too many tones were presented.</summary>
    public SearchMove EndedByTones() => Ended($"No threshold after {Tones} presentations. Explain the task again and repeat.");

    /// <summary>Ends because too many presentations were spoiled.</summary>
    public static SearchMove EndedByVoids(bool noise) => Ended(noise
        ? "Noise in the room spoiled one presentation after another. Find a quieter moment or room."
        : "Too many presentations were broken off. Repeat the search.");

    /// <summary>Ends before it begins, because of the room.</summary>
    public static SearchMove EndedByRoom(double floorDbHl) =>
        Ended($"The room is too loud to test here: it hides everything below {floorDbHl} dB HL. Find a quieter room.");
}
