namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>Whether the responses can be believed to be to the tones.</summary>
/// <param name="posterior">What is believed of threshold and listener.</param>
internal sealed class EstimateTrust(ThresholdPosterior posterior)
{
    // Beyond the rates that simulation studies call poor (false alarms 20 %, lapses 5 %); design choices.
    private const double LargestFalseAlarmRate = 0.15;
    private const double LargestLapseRate = 0.15;

    // A person who has missed nothing yet may be pressing without pause; silence must show that it is not so. A design choice.
    private const int SilencesForSomeoneWhoMissedNothing = 2;

    private readonly double[] _listeners = new double[posterior.Grid.Listeners];
    private bool _heard;
    private bool _missed;
    private int _silencesKept;

    private bool NothingMissed => !_missed && _silencesKept < SilencesForSomeoneWhoMissedNothing;

    /// <summary>Begins anew after the task was explained.</summary>
    public void Restart() => (_heard, _missed, _silencesKept) = (false, false, 0);

    /// <summary>Notes the answer to a tone.</summary>
    public void NoteTone(bool heard)
    {
        _heard |= heard;
        _missed |= !heard;
    }

    /// <summary>Notes a silent trial without a response.</summary>
    public void NoteSilenceKept() => _silencesKept++;

    /// <summary>Whether a silent trial would help to decide.</summary>
    public bool WantsSilence() => Rates().FalseAlarm > LargestFalseAlarmRate || (_heard && NothingMissed && Near());

    /// <summary>Why the responses are not believed; absent when they are.</summary>
    public string? Fault()
    {
        if (!_heard)
        {
            return "No tone was heard, so there is no threshold. Check the earphones, explain the task again and repeat.";
        }

        if (NothingMissed)
        {
            return "The person responded to every tone, and too little silence was tried to know that the responses are to the tones. Explain the task again and repeat.";
        }

        var (falseAlarm, lapse) = Rates();
        return falseAlarm > LargestFalseAlarmRate ? "The person responds too often without a tone. Explain the task again and repeat."
            : lapse > LargestLapseRate ? "The person misses tones that must be audible. Explain the task again and repeat."
            : null;
    }

    // With little left to learn from tones.
    private bool Near() => posterior.Moments(double.NegativeInfinity, double.PositiveInfinity).SdDb < 6;

    private (double FalseAlarm, double Lapse) Rates()
    {
        posterior.CopyListeners(_listeners);
        var grid = posterior.Grid;
        var (falseAlarm, lapse) = (0.0, 0.0);
        for (var i = 0; i < _listeners.Length; i++)
        {
            falseAlarm += _listeners[i] * grid.FalseAlarmRates[i % grid.FalseAlarmRates.Length];
            lapse += _listeners[i] * grid.LapseRates[i / grid.FalseAlarmRates.Length % grid.LapseRates.Length];
        }

        return (falseAlarm, lapse);
    }
}
