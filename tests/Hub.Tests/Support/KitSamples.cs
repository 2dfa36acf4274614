using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>Invented gear and checks.</summary>
internal static class KitSamples
{
    public static Actor Coordinator { get; } = new("person-2", "Pella Nyström");

    public static CalibrationRecord Certificate(DateOnly made, string id = "INV-3391", double shiftDb = 0, string serial = "CE-2207") => new(
        id,
        "AU-1140",
        serial,
        TransducerKind.Circumaural,
        Coupler.Iec60318Part1WithFlatPlate,
        made,
        made.AddMonths(12),
        "Alder Lane Acoustics (invented)",
        [.. AudiometricFrequency.All.SelectMany(frequency => new[] { Ear.Left, Ear.Right }.Select(ear => new CalibrationEntry(ear, frequency.Hertz, (ear == Ear.Left ? 130 : 130.8) + shiftDb, 60) { UncertaintyDb = 0.7 }))]);

    public static KitGear Gear(DateOnly made, string id = "INV-3391", double shiftDb = 0, string serial = "CE-2207") =>
        new("AU-1140", serial, TransducerKind.Circumaural, GearUse.Moved, Certificate(made, id, shiftDb, serial));

    public static IReadOnlyList<KnownEarLevel> Levels(double db) =>
        [.. new[] { Ear.Right, Ear.Left }.SelectMany(ear => KnownEarRules.NeededHz.Select(hertz => new KnownEarLevel(ear, hertz, db)))];

    public static RecordFunctionCheck Function(bool passed) =>
        new([.. FunctionLines.All.Select(line => new FunctionAnswer(line.Code, passed || line.Code != "crosstalk"))], passed ? null : "The left earphone hears the right one.");
}

/// <summary>A kit in memory: facts are decided and folded as the hub does it.</summary>
internal sealed class PureKit
{
    public DateTimeOffset Now { get; set; } = new(2026, 11, 25, 9, 0, 0, TimeSpan.Zero);

    public KitState State { get; private set; } = KitState.Empty(new KitId("kit-01"));

    public List<KitState> Others { get; } = [];

    public List<KitSessionUse> Sessions { get; } = [];

    public DateOnly Today => DateOnly.FromDateTime(Now.UtcDateTime);

    public KitContext Context => new(Now, Today, [State, .. Others], Sessions) { CaresForKits = CaresForKits, Zone = Zone };

    /// <summary>Whether who asks answers for the kits.</summary>
    public bool CaresForKits { get; set; } = true;

    public TimeZoneInfo Zone { get; set; } = TimeZoneInfo.Utc;

    public IReadOnlyList<string> Holds => KitJudgement.Holds(State, Context.Others, Today);

    public IReadOnlyList<string> Due => KitJudgement.Due(State, Today);

    public KitView View => KitViewBuilder.Build(new LoadedKit(State, new KitEntity { KitId = "kit-01", Label = "loan kit", Where = "shelf" }, new IntegrityView(true, null), []), Context, online: false);

    public Refusal? Ask(KitCommand command)
    {
        var decision = KitDecider.Decide(State, command, KitSamples.Coordinator, Context);
        Happen(decision.Facts);
        return decision.Refusal;
    }

    public void Tell(KitGear gear) => Happen(KitDecider.Reported(State, gear, Context));

    public SessionId Session(DateTimeOffset lastActive, SessionStage stage = SessionStage.Closed, DateTimeOffset? planned = null, string reference = "P-0107")
    {
        var sessionId = SessionId.New();
        Sessions.Add(new KitSessionUse(sessionId, lastActive, planned ?? lastActive, stage, reference));
        return sessionId;
    }

    public void Happen(IReadOnlyList<KitFact> facts)
    {
        foreach (var fact in facts)
        {
            // As a hub that stores and reads it again.
            var (name, shape, payload) = KitFactCatalog.Write(fact);
            State = KitFold.Apply(State, new RecordedFact(State.Version + 1, Now, KitFactCatalog.Read(name, shape, payload)));
        }
    }
}
