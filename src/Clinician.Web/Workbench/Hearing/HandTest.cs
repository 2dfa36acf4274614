using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Clinician.Web.State;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Workbench.Hearing;

/// <summary>A wish for levels above 100 dB HL that waits for a deliberate yes.</summary>
/// <param name="Request">The step.</param>
/// <param name="Words">What is asked, in words.</param>
/// <param name="LevelDbHl">Level in dB HL of one tone; absent for a search, whose levels are not known beforehand.</param>
public sealed record LoudWish(StepRequest Request, string Words, double? LevelDbHl);

/// <summary>Ways of testing.</summary>
public enum TestWay
{
    /// <summary>Tones and searches one by one.</summary>
    ByHand,

    /// <summary>Chosen frequencies of one ear.</summary>
    WholeEar,

    /// <summary>What the protocol has next.</summary>
    Protocol,
}

/// <summary>Testing by hand: the dial, what was presented last, and the question before loud tones.</summary>
public sealed class HandTest(CommandDesk desk)
{
    // The octaves that a conventional audiogram has at the least, 125 Hz apart (ASHA 2005, from memory).
    private static readonly AudiometricFrequency[] _usual = [.. new[] { 250, 500, 1000, 2000, 4000, 8000 }.Select(hertz => AudiometricFrequency.FromHertz(hertz))];

    private PresentToneStep? _confirmed;

    /// <summary>The dial.</summary>
    public HandDial Dial { get; private set; } = HandDial.First;

    /// <summary>The tone presented last, if any.</summary>
    public PresentToneStep? Last { get; private set; }

    /// <summary>The loud wish that waits for a yes or a no.</summary>
    public LoudWish? Asking { get; private set; }

    /// <summary>Which panel is open.</summary>
    public TestWay Way { get; private set; }

    /// <summary>Stopping rule of searches.</summary>
    public StoppingRule Rule { get; set; } = StoppingRule.TwoOfThree;

    /// <summary>Frequencies ticked for the search of a whole ear.</summary>
    public HashSet<AudiometricFrequency> Chosen { get; } = [.. _usual];

    /// <summary>The dial or the question changed.</summary>
    public event Action? Changed;

    /// <summary>Back to the beginning, for another person: no level and no yes to loud tones is carried over.</summary>
    public void Reset()
    {
        (_confirmed, Last, Asking, Way, Rule) = (null, null, null, TestWay.ByHand, StoppingRule.TwoOfThree);
        Chosen.Clear();
        Chosen.UnionWith(_usual);
        Set(HandDial.First);
    }

    /// <summary>Does what a key or its button asks.</summary>
    public Task Do(HandAction action)
    {
        switch (action)
        {
            case HandAction.Present:
                return Present(Dial.Tone());
            case HandAction.Repeat:
                return Last is { } last ? Present(last) : Explain("Repeat the last tone", "No tone has been presented by hand yet.");
            case HandAction.SearchHere:
                return SearchHere();
            case HandAction.SwitchPanel:
                Show(Way == TestWay.Protocol ? TestWay.ByHand : Way + 1);
                return Task.CompletedTask;
            default:
                Set(Dial.After(action));
                return Task.CompletedTask;
        }
    }

    /// <summary>Sets the dial.</summary>
    public void Set(HandDial dial)
    {
        Dial = dial;
        Changed?.Invoke();
    }

    /// <summary>Opens a panel.</summary>
    public void Show(TestWay way)
    {
        Way = way;
        Changed?.Invoke();
    }

    /// <summary>Asks for the part that the protocol has next.</summary>
    public Task MeasurePart(PlanPart part, bool loud)
    {
        var step = new MeasurePartStep(part);
        return Order("measure-part", $"Measure the {part}", step, loud ? new LoudWish(step, $"the {part}, which may go above 100 dB HL", null) : null);
    }

    /// <summary>Asks for the search of one ear.</summary>
    public Task SearchEar(SearchEarStep search, bool loud) =>
        Order("search-ear", $"Search the {Name(search.Ear)} ear", search, loud ? new LoudWish(search, $"a search of the {Name(search.Ear)} ear that may go above 100 dB HL", null) : null);

    /// <summary>Looks at what became of the last step: a yes to a loud tone that did not sound holds for no other.</summary>
    public void Look(SessionView view)
    {
        if (_confirmed is not null && view.Step is { Request: PresentToneStep, LoudConfirmed: true, Ending: not null and not StepEnding.Completed })
        {
            _confirmed = null;
        }
    }

    /// <summary>The clinician said yes to the loud wish.</summary>
    public Task ConfirmLoud()
    {
        if (Asking is not { } wish)
        {
            return Task.CompletedTask;
        }

        Asking = null;
        _confirmed = wish.Request as PresentToneStep;
        Changed?.Invoke();
        return Send(wish.Words, wish.Request, loudConfirmed: true);
    }

    /// <summary>The clinician said no to the loud wish.</summary>
    public void DeclineLoud()
    {
        Asking = null;
        Changed?.Invoke();
    }

    private Task SearchHere()
    {
        var search = new SearchThresholdStep(Dial.Ear, Dial.Frequency.Hertz, Rule, Dial.Shape) { Route = Dial.Route, Masked = Dial.Masked };
        return Order("search-threshold", $"Search the {Name(Dial.Ear)} ear at {Dial.Frequency}{Words.TrialWords.By(Dial.Route)}{(Dial.Masked ? ", masked" : string.Empty)}", search, null);
    }

    private Task Present(PresentToneStep tone)
    {
        var masker = tone.MaskerDbEm is { } masking ? $", the other ear masked with {Words.TrialWords.Number(masking)} dB EM" : string.Empty;
        var words = $"{Words.TrialWords.Level(tone.LevelDbHl)} at {tone.FrequencyHz} Hz{Words.TrialWords.By(tone.Route)} in the {Name(tone.Ear)} ear{masker}";
        return Order("present-tone", $"Present {words}", tone, IsLoud(tone) && !Covers(_confirmed, tone) ? new LoudWish(tone, words, tone.LevelDbHl) : null);
    }

    private static bool IsLoud(PresentToneStep tone) => tone.LevelDbHl > HearingLevels.LoudAboveDbHl || tone.MaskerDbEm > MaskingLevels.LoudAboveDbEm;

    // A yes holds for the same ear and frequency up to the level it was given for, so that a search by hand is not broken by a question at every tone.
    private static bool Covers(PresentToneStep? confirmed, PresentToneStep tone) =>
        confirmed is not null && confirmed.Ear == tone.Ear && confirmed.FrequencyHz == tone.FrequencyHz && confirmed.Route == tone.Route
        && tone.LevelDbHl <= Math.Max(confirmed.LevelDbHl, HearingLevels.LoudAboveDbHl) && (tone.MaskerDbEm ?? double.NegativeInfinity) <= Math.Max(confirmed.MaskerDbEm ?? double.NegativeInfinity, MaskingLevels.LoudAboveDbEm);

    private Task Order(string move, string what, StepRequest request, LoudWish? wish)
    {
        if (desk.Move(move) is { Allowed: false } refused)
        {
            return Explain(what, refused.WhyNot ?? "The hub does not offer this now.");
        }

        if (wish is not null)
        {
            Asking = wish;
            Changed?.Invoke();
            return Task.CompletedTask;
        }

        return Send(what, request, request is PresentToneStep tone && IsLoud(tone));
    }

    private async Task Send(string what, StepRequest request, bool loudConfirmed)
    {
        if (request is PresentToneStep tone)
        {
            if (_confirmed is not null && (tone.Ear != _confirmed.Ear || tone.FrequencyHz != _confirmed.FrequencyHz))
            {
                _confirmed = null;
            }

            Last = tone;
            Changed?.Invoke();
        }

        if (!await desk.Ask(what, new OrderStep(request, loudConfirmed)) && loudConfirmed)
        {
            _confirmed = null;
        }
    }

    private Task Explain(string what, string whyNot)
    {
        desk.Explain(what, whyNot);
        return Task.CompletedTask;
    }

    private static string Name(Ear ear) => ear == Ear.Right ? "right" : "left";
}
