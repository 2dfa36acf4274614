using System.Globalization;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Masking;

/// <summary>What a masked measurement does about trials beside moving levels: <see cref="TrialGuard"/>, with the masker on, and its endings in the words of masking.</summary>
internal sealed class MaskedTrials(PlateauSettings settings, Random random)
{
    private readonly TrialGuard _guard = new(
        settings.Search with { MaximumPresentations = settings.MaximumPresentations, FalseResponseLimit = settings.FalseResponseLimit },
        random);

    /// <summary>Whether a tone was presented.</summary>
    public bool Begun => _guard.Tones > 0;

    /// <summary>Presents a tone.</summary>
    public SearchMove Tone(double levelDbHl, bool counts, double maskerDbEm) => Masked(_guard.Tone(levelDbHl, counts), maskerDbEm);

    /// <summary>Presents a tone, or silence instead.</summary>
    public SearchMove CatchOrTone(double levelDbHl, bool counts, double maskerDbEm) => Masked(_guard.CatchOrTone(levelDbHl, counts), maskerDbEm);

    /// <summary>Notes a tone that counts. The end when there have been too many.</summary>
    public PlateauConclusion? NoteTone()
    {
        _guard.NoteCalm();
        return _guard.NoteTone()
            ? PlateauConclusion.NotSettled(
                string.Create(CultureInfo.InvariantCulture, $"No plateau after {settings.MaximumPresentations} presentations."),
                "Explain the task again and repeat.")
            : null;
    }

    /// <summary>Notes a silent trial without a response.</summary>
    public void NoteCalm() => _guard.NoteCalm();

    /// <summary>Notes a spoiled presentation. The end when there have been too many.</summary>
    public PlateauConclusion? NoteVoid(bool noise) => !_guard.NoteVoid() ? null : PlateauConclusion.NotSettled(
        noise ? "Noise in the room spoiled one presentation after another." : "Too many presentations were broken off.",
        noise ? "Find a quieter moment or room, and repeat." : "Repeat.");

    /// <summary>Notes a response to silence: explain the task again, or end, or neither.</summary>
    public (SearchMove? Instruct, PlateauConclusion? End) NoteFalseResponse() => _guard.NoteFalseResponse() switch
    {
        SearchMove.Finished { Outcome: ThresholdOutcome.NotEstablished unsettled } =>
            (null, PlateauConclusion.NotSettled(unsettled.Reason, "Explain the task again, the noise too, and repeat.")),
        var move => (move, null),
    };

    /// <summary>Begins anew after the task was explained.</summary>
    public void Restart() => _guard.Restart();

    private static SearchMove Masked(SearchMove move, double maskerDbEm) => move switch
    {
        SearchMove.PresentTone tone => tone with { MaskerDbEm = maskerDbEm },
        SearchMove.PresentCatch silence => silence with { MaskerDbEm = maskerDbEm },
        _ => move,
    };
}
