using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>Twenty kits at the hands of somebody who does anything, sensible or not, decided and folded as the hub does it.</summary>
internal sealed class ClinicPlay
{
    public const int KitCount = 20;

    private readonly Random _random;
    private readonly Dictionary<KitId, List<KitSessionUse>> _sessions = [];

    public ClinicPlay(int seed)
    {
        _random = new Random(seed);
        Kits = [.. Enumerable.Range(1, KitCount).Select(number => KitState.Empty(new KitId($"kit-{number:00}")))];
        foreach (var kit in Kits)
        {
            _sessions[kit.KitId] = [];
        }

        for (var index = 0; index < KitCount; index++)
        {
            if (_random.Next(8) == 0)
            {
                Happen(index, [new KitDrafted(KitSamples.Coordinator)]);
            }

            Tell(index, Today.AddDays(-_random.Next(60)));
            if (_random.Next(2) == 0)
            {
                Happen(index, [new ContentsSet(Items, KitSamples.Coordinator)]);
            }
        }
    }

    public static IReadOnlyList<KitItem> Items { get; } =
    [
        new("PHONES", "earphones, pair", 1, 1) { Contact = ItemContact.Skin },
        new("TIPS", "insert tips, pair", 20, 10) { Contact = ItemContact.Canal, SingleUse = true },
    ];

    public DateTimeOffset Now { get; private set; } = new(2026, 11, 25, 9, 0, 0, TimeSpan.Zero);

    public DateOnly Today => DateOnly.FromDateTime(Now.UtcDateTime);

    public List<KitState> Kits { get; }

    /// <summary>Stored forms of every fact, kit by kit.</summary>
    public List<(DateTimeOffset At, string Name, int Shape, string Payload)>[] Stored { get; } = [.. Enumerable.Range(0, KitCount).Select(_ => new List<(DateTimeOffset, string, int, string)>())];

    public int Accepted { get; private set; }

    public int Refused { get; private set; }

    /// <summary>Called with the kit before and after, and the facts in between.</summary>
    public Action<int, KitState, IReadOnlyList<KitFact>>? Happened { get; set; }

    public KitContext Context(int index) => new(Now, Today, Kits, _sessions[Kits[index].KitId]) { CaresForKits = true };

    /// <summary>One act at one kit.</summary>
    public void Step()
    {
        if (_random.Next(3) == 0)
        {
            Now = Now.AddHours(_random.Next(1, _random.Next(12) == 0 ? 24 * 20 : 30));
        }

        var index = _random.Next(KitCount);
        switch (_random.Next(20))
        {
            case 0:
                Tell(index, Today.AddDays(-_random.Next(_random.Next(3) == 0 ? 100 : 20)));
                break;
            case < 5 when Kits[index].InSession is not null:
                SetDown(index);
                break;
            case < 4:
                Use(index);
                break;
            default:
                Ask(index, new RandomCommand(_random, Kits[index], Kits, Today, Now).Next());
                break;
        }
    }

    public KitDecision Ask(int index, KitCommand command)
    {
        var decision = KitDecider.Decide(Kits[index], command, KitSamples.Coordinator, Context(index));
        Assert.True(decision.Refusal is null || decision.Facts.Count == 0, "A refusal leaves nothing half done.");
        if (decision.Refusal is null)
        {
            Accepted++;
        }
        else
        {
            Refused++;
        }

        Happen(index, decision.Facts);
        return decision;
    }

    /// <summary>The kit tells a new certificate; two points are enough for what is decided here, and quick to store.</summary>
    public void Tell(int index, DateOnly calibrated)
    {
        var (unit, transducer) = ($"AU-{index}", $"CE-{index}");
        var record = KitSamples.Certificate(calibrated, $"INV-{calibrated:yyMMdd}-{Kits[index].Version}", serial: transducer) with
        {
            UnitSerial = unit,
            Entries = [new CalibrationEntry(Ear.Right, 1000, 130, 60), new CalibrationEntry(Ear.Left, 1000, 130, 60)],
        };
        Happen(index, KitDecider.Reported(Kits[index], new KitGear(unit, transducer, record.TransducerKind, GearUse.Moved, record), Context(index)));
    }

    /// <summary>A session whose gate looks at the kit as the hub does it.</summary>
    public void Use(int index)
    {
        var state = Kits[index];
        var person = $"P-{_random.Next(2)}";
        if (state.InSession is null && KitJudgement.HoldsOnTesting(state, Kits, Today, person, _sessions[state.KitId]).Count == 0)
        {
            var sessionId = SessionId.New();
            _sessions[state.KitId].Add(new KitSessionUse(sessionId, Now, Now, SessionStage.Testing, person));
            Happen(index, UseDecider.TakenIntoUse(state, sessionId, KitSamples.Coordinator));
            if (_random.Next(2) == 0)
            {
                Happen(index, UseDecider.PackUpNoted(Kits[index], sessionId, KitSamples.Coordinator));
            }
        }
    }

    public void SetDown(int index)
    {
        if (Kits[index].InSession is { } sessionId)
        {
            Happen(index, UseDecider.SetDown(Kits[index], sessionId, KitSamples.Coordinator, Context(index)));
        }
    }

    /// <summary>Who was tested in a session of a kit.</summary>
    public string PersonOf(int index, SessionId session) => _sessions[Kits[index].KitId].Single(use => use.SessionId == session).PersonReference;

    private void Happen(int index, IReadOnlyList<KitFact> facts)
    {
        if (facts.Count == 0)
        {
            return;
        }

        var before = Kits[index];
        foreach (var fact in facts)
        {
            var (name, shape, payload) = KitFactCatalog.Write(fact);
            Stored[index].Add((Now, name, shape, payload));
            Kits[index] = KitFold.Apply(Kits[index], new RecordedFact(Kits[index].Version + 1, Now, fact));
        }

        Happened?.Invoke(index, before, facts);
    }
}
