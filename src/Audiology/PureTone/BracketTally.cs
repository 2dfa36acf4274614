namespace TeleHearing.Audiology.PureTone;

/// <summary>The ends of ascents and descents of a bracketing, and what they come to (ISO 8253-1:2010, 6.2.3).</summary>
internal sealed class BracketTally(bool shortForm)
{
    private const int PairsOfFullForm = 3;
    private const int PairsOfShortForm = 2;

    /// <summary>Agreement asked of the four ends of the short form, dB (ISO 8253-1:2010, 6.2.3).</summary>
    private const double ShortFormAgreementDb = 5;

    private readonly List<double> _ascents = [];
    private readonly List<double> _descents = [];

    /// <summary>Span of the averaged levels over which a result is doubtful, dB (ISO 8253-1:2010, 6.2.3).</summary>
    public const double DoubtfulOverDb = 10;

    /// <summary>Whether nothing has ended yet.</summary>
    public bool IsEmpty => _ascents.Count + _descents.Count == 0;

    /// <summary>Highest less lowest end, dB.</summary>
    public double SpanDb => IsEmpty ? 0 : Ends.Max() - Ends.Min();

    /// <summary>Whether the averaged levels lie too far apart to be trusted.</summary>
    public bool Doubtful => SpanDb > DoubtfulOverDb;

    /// <summary>Whether there are ascents and descents enough. A short form whose four ends lie too far apart goes on to the full form.</summary>
    public bool Complete
    {
        get
        {
            var pairs = Math.Min(_ascents.Count, _descents.Count);
            return pairs >= PairsOfFullForm || (shortForm && pairs >= PairsOfShortForm && SpanDb <= ShortFormAgreementDb);
        }
    }

    /// <summary>Mean of the mean end of the ascents and the mean end of the descents, dB HL, not rounded.</summary>
    public double MeanDbHl => (_ascents.Average() + _descents.Average()) / 2;

    private IEnumerable<double> Ends => _ascents.Concat(_descents);

    /// <summary>Adds the level at which an ascent met a response.</summary>
    public void AddAscent(double levelDbHl) => _ascents.Add(levelDbHl);

    /// <summary>Adds the lowest level of a descent with a response.</summary>
    public void AddDescent(double levelDbHl) => _descents.Add(levelDbHl);

    /// <summary>Forgets everything.</summary>
    public void Clear()
    {
        _ascents.Clear();
        _descents.Clear();
    }
}
