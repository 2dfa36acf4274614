using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Invented pictures of one invented kit.</summary>
internal static class SampleKits
{
    public static readonly KitId Kit = new("kit-01");
    private static readonly DateOnly _today = DateOnly.FromDateTime(SampleViews.HubTime.UtcDateTime);

    public static KitView Good(long version = 12) => new(
        Kit,
        version,
        SampleViews.HubTime,
        "loan kit, circumaural earphones",
        "Office shelf",
        Online: true,
        _today,
        [],
        [],
        new CalibrationView(Record(), GearUse.Moved, _today.AddDays(60), 60, CalibrationStanding.Holds, []),
        [new CertificateView(SampleViews.HubTime.AddDays(-30), "INV-3391", "Alder Lane Acoustics (invented)", _today.AddDays(-30), null)],
        new KnownEarView(
            [new BaselineView(SampleViews.HubTime.AddDays(-29), "E1", Levels(5))],
            [Check(-21, 0, KnownEarVerdict.Passed), Check(-14, 5, KnownEarVerdict.Passed), Check(-7, -5, KnownEarVerdict.Passed)],
            null),
        [new FunctionCheckView(SampleViews.HubTime.AddDays(-7), "Pella Nyström", [.. FunctionLines.All.Select(line => new FunctionAnswer(line.Code, true))], null, true)],
        new SidesProvenView(SampleViews.HubTime.AddDays(-8), SampleViews.Session, 6),
        null,
        null,
        [],
        [],
        [.. new[] { "record-baseline", "record-known-ear", "record-function-check", "record-move", "reserve-kit", "receive-kit", "review-session" }.Select(name => new Move(name, name is not ("receive-kit" or "review-session"), name == "receive-kit" ? "The kit is not lent." : null))],
        [new TimelineEntry(12, SampleViews.HubTime.AddDays(-7), "Pella Nyström recorded a function check: all as it should be.")],
        new IntegrityView(true, null));

    public static KitView Failed() => Good(14) with
    {
        Holds = ["The last function check failed: nothing on the other side."],
        Due = ["One session waits to be looked at again."],
        Function = [new FunctionCheckView(SampleViews.HubTime, "Pella Nyström", [.. FunctionLines.All.Select(line => new FunctionAnswer(line.Code, line.Code != "crosstalk"))], "The left earphone hears the right one.", false)],
        LookBacks = [new LookBackView(14, SampleViews.HubTime, "The function check failed: nothing on the other side.", SampleViews.HubTime.AddDays(-7), [new LookBackRow(SampleViews.Session, SampleViews.HubTime.AddDays(-2), SessionStage.Closed, null, null, null)])],
        Moves = [.. Good().Moves.Select(move => move.Name is "reserve-kit" or "record-baseline" ? new Move(move.Name, false, "Something holds this kit.") : move.Name == "review-session" ? new Move(move.Name, true, null) : move)],
    };

    public static KnownEarCheckView Check(int days, double shift, KnownEarVerdict verdict) => new(
        SampleViews.HubTime.AddDays(days),
        "Pella Nyström",
        "E1",
        [.. Levels(5).Select(level => new KnownEarShift(level.Ear, level.FrequencyHz, 5, level is { Ear: Ear.Right, FrequencyHz: 2000 } ? 5 + shift : 5))],
        verdict,
        "INV-3391");

    private static CalibrationRecord Record() => new(
        "INV-3391",
        "AU-1140",
        "CE-2207",
        TransducerKind.Circumaural,
        Coupler.Iec60318Part1WithFlatPlate,
        _today.AddDays(-30),
        _today.AddDays(335),
        "Alder Lane Acoustics (invented)",
        [new CalibrationEntry(Ear.Right, 1000, 130.8, 110) { UncertaintyDb = 0.7 }, new CalibrationEntry(Ear.Left, 1000, 130, 110) { UncertaintyDb = 0.7 }])
    {
        TemperatureC = 22.4,
        PressureKPa = 100.9,
        Site = "Alder Lane",
    };

    private static IReadOnlyList<KnownEarLevel> Levels(double db) =>
        [.. new[] { Ear.Right, Ear.Left }.SelectMany(ear => KnownEarRules.NeededHz.Select(hertz => new KnownEarLevel(ear, hertz, db)))];
}
