using System.Text.Json.Nodes;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>Stored events stay readable for good: every name and shape has a sample file that was written once.</summary>
public sealed class EventCatalogTests
{
    private static readonly string _folder = Path.Combine(RepositoryRoot.Path, "tests", "Hub.Tests", "Golden", "Events");

    public static TheoryData<string, int> Lines()
    {
        var rows = new TheoryData<string, int>();
        foreach (var (name, shape, _) in EventCatalog.Lines)
        {
            rows.Add(name, shape);
        }

        return rows;
    }

    [Theory]
    [MemberData(nameof(Lines))]
    public void EveryStoredShapeIsStillReadAsItWasWritten(string name, int shape)
    {
        var path = Path.Combine(_folder, $"{name}.{shape}.json");
        if (Environment.GetEnvironmentVariable("TELEHEARING_WRITE_GOLDEN") == "1" && !File.Exists(path))
        {
            Directory.CreateDirectory(_folder);
            var sample = SamplesOf().First(happened => EventCatalog.Write(happened) is var written && (written.Name, written.Shape) == (name, shape));
            File.WriteAllText(path, JsonNode.Parse(EventCatalog.Write(sample).Payload)!.ToJsonString(new() { WriteIndented = true }) + "\n");
        }

        var stored = File.ReadAllText(path);

        var read = EventCatalog.Read(name, shape, stored);

        Assert.IsNotType<UnreadableEvent>(read);
        Assert.True(JsonNode.DeepEquals(JsonNode.Parse(stored), JsonNode.Parse(EventCatalog.Write(read).Payload)), $"{name} {shape} is read or written in another way than it was stored.");
    }

    [Fact]
    public void EveryEventHasAName()
    {
        var types = typeof(SessionEvent).Assembly.GetTypes().Where(type => type.IsSubclassOf(typeof(SessionEvent)) && type != typeof(UnreadableEvent));

        Assert.All(types, type => Assert.Contains(EventCatalog.Lines, line => line.Type == type));
        Assert.Equal(EventCatalog.Lines.Count, EventCatalog.Lines.Select(line => (line.Name, line.Shape)).Distinct().Count());
    }

    [Fact]
    public void WhatCannotBeReadIsCarriedAlongUnchanged()
    {
        var strange = EventCatalog.Read("from.the-future", 3, "{\"a\":1}");

        Assert.Equal(("from.the-future", 3, "{\"a\":1}"), EventCatalog.Write(strange));
        Assert.IsType<UnreadableEvent>(EventCatalog.Read("note.added", 1, "{broken"));
    }

    private static IEnumerable<SessionEvent> SamplesOf()
    {
        var by = new Actor("person-1", "Maren Toft");
        var other = new Actor("person-2", "Ivo Lindqvist");
        var step = new StepId(new Guid("0196f3a0-0000-7000-8000-000000000001"));
        var order = new StepOrder(new SessionId(new Guid("0196f3a0-0000-7000-8000-000000000002")), step, 3, 1, 12_000, 100, 42, Samples.QuietRoom.LowestProvable, new PresentToneStep(Ear.Left, 1000, 40, ToneShape.Pulsed, 1500));
        return
        [
            new SessionScheduled("P-0001", "at home", new DateTimeOffset(2026, 3, 2, 10, 0, 0, TimeSpan.Zero), new KitId("kit-01"), "person-1"),
            new SessionKitChanged(new KitId("kit-01"), new KitId("kit-02"), by),
            new ControlTaken(1, by),
            new ControlReleased(by),
            new ControlAsked("to show the masking", other),
            new ControlDeclined(other, "nearly done", by),
            new ControlGranted(2, other, by),
            new ControlTakenOver(3, other, "she does not answer", by),
            new ControlOffered(other, "to supervise", by),
            new ControlOfferEnded(other, null, other),
            new ControlHandedOver(4, by, other),
            new ControlLentBefore(5, other, [TaskLentBefore.RoomNoise, TaskLentBefore.Coach], new DateTimeOffset(2026, 3, 2, 10, 15, 0, TimeSpan.Zero), by),
            new ControlLent(5, other, [AssistantTask.RoomNoise, AssistantTask.SideProof], new DateTimeOffset(2026, 3, 2, 10, 15, 0, TimeSpan.Zero), by) { SideProofDbHl = 50 },
            new ControlReturned(6, other, by, ControlLoanEnd.TimeOver),
            new ControlLapsed(7, by, new DateTimeOffset(2026, 3, 2, 10, 20, 0, TimeSpan.Zero), SessionStage.Testing),
            new StageAdvanced(SessionStage.Identity, SessionStage.Consent, by),
            new StageSteppedBack(SessionStage.Consent, SessionStage.Identity, by),
            new SessionHeld(SessionStage.Testing, "break", by),
            new SessionResumed(SessionStage.Paused, SessionStage.Testing, "rested", false, by),
            new SessionStopped(SessionStage.Testing, StopCause.Consent, "tired"),
            new LinkWasLost(SessionStage.Testing),
            new LinkWasRestored(SessionStage.RoomNoise, true),
            new SessionAborted(SessionStage.Testing, "ill", by),
            new SessionConverted(SessionStage.EarLook, ConversionTarget.Referral, "discharge", by),
            new SessionErased(SessionStage.Closed, new KitId("kit-01"), new Guid("0196f3a0-0000-7000-8000-000000000003")),
            new StartCardConfirmed(Samples.Card(), RegistrationStanding.Expired, new RegistrationShown("CA-NS", "A-1042", "Audiologist", new DateOnly(2026, 2, 1)), ["P-0002"], by),
            new ConsentGiven(Samples.Sheet, by),
            new ConsentWithdrawn("tired", by),
            new ConsentAnswered(ConsentPurpose.Care, true, new ConsentTextShown("1", "en", "00ff"), new ConsentParty("R. Hale", "guardian", "answered in few words"), ConsentMeans.Spoken, true, true, by),
            new ConsentAskedOnScreen([new ConsentText(ConsentPurpose.Images, "es", 1, "Title", "Body", "Yes", "No", "No more")], ConsentParty.Themself, true, false, by),
            new ConsentTakenBack([ConsentPurpose.Care, ConsentPurpose.Sharing], ConsentParty.Themself, ConsentMeans.KitScreen, null, by),
            new RecordingDeclared(true, "sound, on the clinic's own disk", by),
            new EarLookedAt(Samples.Clear(Ear.Right), by),
            new RoomAccepted("no quieter room", by),
            new SidesAccepted("known to hear nothing there", by),
            new NoteAdded("note", by),
            new MessageShown("Please wait.", by),
            new ReviewRecorded(Samples.Review, WarningSigns.Version, by),
            new HandoffRecorded(Samples.Handoff, by),
            new HandoffAcknowledged(new HandoffOwner(null, "Harbour Street practice"), "their office called back", by),
            new ProtocolChosen(ShippedProtocols.Short, by),
            new PlanChanged(new PlanOverride.SkipPart(new PlanPart(Ear.Left, ConductionRoute.Air, Masked: true)), by),
            new StepOrdered(order, false, by),
            new StepCutAsked(step, by),
            new StepBegan(step, 1000.5),
            new TrialTaken(step, Samples.Trial(), 2000),
            new ThresholdMeasured(Samples.Threshold(step), 3000),
            new StepOver(step, StepEnding.Completed, null, null, Samples.QuietRoom, 4000),
            new SiteStopPressed(5000),
            new CardMarkedDone(SessionStage.KitCheck, 6000),
            new HelpWasCalled(7000),
            new KitDataWiped(new KitId("kit-01"), new JournalId(new Guid("0196f3a0-0000-7000-8000-000000000003")), 41, "0ZcOCORZNYy-DWpqq30jZyJGHTN0d2HglBV3uiguA4I"),
        ];
    }
}
