namespace TeleHearing.Audiology.PureTone;

/// <summary>The lowest level a search may present: the setting, the room's bound, and what noise during the search turned out to hide.</summary>
/// <remarks>
/// When noise spoils several presentations at one level one after another, that level and all below are hidden, and the search goes on 5 dB above: the
/// bound it then reports is one at which the person did respond, not one that noise alone suggests.
/// </remarks>
internal sealed class NoiseFloor
{
    private readonly SearchSettings _settings;
    private readonly double _minimumDbHl;
    private double _roomDbHl;
    private double _voidedLevelDbHl;
    private int _voids;

    public NoiseFloor(SearchSettings settings)
    {
        _settings = settings;
        _minimumDbHl = HearingLevels.RoundUpToStep(settings.MinimumDbHl, settings.StepDb);
        _roomDbHl = HearingLevels.RoundUpToStep(Math.Max(settings.RoomBoundDbHl ?? HearingLevels.LowestPresentedDbHl, HearingLevels.LowestPresentedDbHl), settings.StepDb);
    }

    /// <summary>Lowest level allowed now, dB HL.</summary>
    public double LevelDbHl => Math.Max(_minimumDbHl, _roomDbHl);

    /// <summary>Whether a threshold found at this level only says "at or better than this".</summary>
    /// <remarks>
    /// At the bound a masked response cannot be told from a true one. In a room over the limits of the standard (bound above 0 dB HL) the step above is not
    /// clean either: noise 20 dB over the limit masks a true 10 dB HL to about 18 dB HL (power sum), and a listener of 2 dB spread then misses the tone at 20
    /// in one presentation of seven, so that a search now and then ends a step higher. In a room within the limits the standard accepts what is found.
    /// </remarks>
    public bool Limits(double levelDbHl) => _roomDbHl switch
    {
        <= HearingLevels.LowestPresentedDbHl => false,
        <= 0 => levelDbHl <= _roomDbHl,
        _ => levelDbHl <= _roomDbHl + HearingLevels.StepDb,
    };

    /// <summary>Notes a presentation spoiled by noise. True when the floor rose above this level.</summary>
    public bool RisesAfterVoidAt(double levelDbHl)
    {
        _voids = levelDbHl == _voidedLevelDbHl ? _voids + 1 : 1;
        _voidedLevelDbHl = levelDbHl;
        if (_voids < _settings.NoiseVoidLimit)
        {
            return false;
        }

        _voids = 0;
        _roomDbHl = Math.Max(_roomDbHl, HearingLevels.RoundUpToStep(levelDbHl + HearingLevels.StepDb, _settings.StepDb));
        return true;
    }

    /// <summary>Notes a presentation that noise did not spoil.</summary>
    public void NoteValid() => _voids = 0;
}
