using Bunit;
using TeleHearing.Clinician.Web.Tasks;
using TeleHearing.Clinician.Web.Today;
using TeleHearing.Clinician.Web.Words;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Who is in control, and how it changes hands, as the workbench shows it.</summary>
public sealed class ControlStripTests : ConsoleContext
{
    private static readonly string[] _control = ["take-control", "release-control", "request-control", "grant-control", "decline-control", "take-over-control", "offer-control", "accept-control", "end-offer", "lend-control", "give-back-control", "take-back-control", "acknowledge-handoff"];

    [Fact]
    public async Task TheHolderGrantsWhatAColleagueAsks()
    {
        var page = await Open(View(new ControlView(1, "p-1", "Maren Toft") { Requests = [new ControlRequestView("p-2", "Ivo Lindqvist", "to show the masking", SampleViews.HubTime)] }));

        Assert.Contains("You are in control.", Strip(page), StringComparison.Ordinal);
        Assert.Contains("Ivo Lindqvist asks for control: to show the masking", Strip(page), StringComparison.Ordinal);
        await page.Button("Hand it to Ivo Lindqvist").ClickAsync(new());
        Assert.Equal(new GrantControl("p-2"), Link.Asked[^1].Command);
        await page.Button("Keep control").ClickAsync(new());
        Assert.Equal(new DeclineControl("p-2", null), Link.Asked[^1].Command);
    }

    [Fact]
    public async Task WhoIsNotInControlAsksOrTakesOverWithAReason()
    {
        var page = await Open(View(new ControlView(1, "p-2", "Ivo Lindqvist")));

        Assert.Contains("Ivo Lindqvist is in control.", Strip(page), StringComparison.Ordinal);
        Assert.False(page.HasButton("Hand over…"));
        await page.Button("Take over…").ClickAsync(new());
        Assert.True(page.Button("Take over now").HasAttribute("disabled"));
        await page.Find("dialog textarea").InputAsync(new() { Value = "he does not answer" });
        await page.Find("dialog form").SubmitAsync();
        Assert.Equal(new TakeOverControl("he does not answer"), Link.Asked[^1].Command);

        await page.Button("Ask for control…").ClickAsync(new());
        await page.Find("dialog textarea").InputAsync(new() { Value = "to help" });
        await page.Find("dialog form").SubmitAsync();
        Assert.Equal(new RequestControl("to help"), Link.Asked[^1].Command);
    }

    [Fact]
    public async Task WhoAskedIsToldThatControlIsKept()
    {
        var asked = View(new ControlView(1, "p-2", "Ivo Lindqvist") { Requests = [new ControlRequestView("p-1", "Maren Toft", "to help", SampleViews.HubTime)] });
        var page = await Open(asked);
        Assert.DoesNotContain("keeps control", Strip(page), StringComparison.Ordinal);

        Link.Push(asked with { Version = asked.Version + 1, Control = asked.Control with { Requests = [], DeclinedIds = ["p-1"] } });
        page.WaitForAssertion(() => Assert.Contains("Ivo Lindqvist keeps control. You had asked for it.", Strip(page), StringComparison.Ordinal));

        Link.Push(asked with { Version = asked.Version + 2, Control = new ControlView(2, "p-1", "Maren Toft") });
        page.WaitForAssertion(() => Assert.DoesNotContain("keeps control", Strip(page), StringComparison.Ordinal));
    }

    [Fact]
    public async Task WhoLostControlIsToldWhyAndARefusedCommandSaysWhoHasIt()
    {
        var page = await Open(View(new ControlView(2, "p-2", "Ivo Lindqvist") { HeldBeforeId = "p-1", LastChange = "Ivo Lindqvist took control over from Maren Toft: she does not answer" }));

        Assert.Contains("she does not answer", Strip(page), StringComparison.Ordinal);
        Assert.Equal("Ivo Lindqvist is in control. Ask for control, or take over with a reason.", Desk.Move("hold").WhyNot);
        Assert.Contains("Ivo Lindqvist took control over", Announcements.Between(View(new ControlView(1, "p-1", "Maren Toft")), View(new ControlView(2, "p-2", "Ivo Lindqvist") { LastChange = "Ivo Lindqvist took control over from Maren Toft: reason" })), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ATaskIsLentToAnAssistantForWhatTheyAreSignedOffFor()
    {
        Link.Colleagues = [new ColleagueView("p-1", "Maren Toft", true, true, []), new ColleagueView("p-3", "Ada Wiksell", false, false, [AssistantTask.RoomNoise, AssistantTask.Coach])];
        var page = await Open(View(new ControlView(1, "p-1", "Maren Toft")));

        await page.Button("Lend a task…").ClickAsync(new());
        await page.Find("dialog select").ChangeAsync(new() { Value = "p-3" });
        var boxes = page.FindAll("dialog input[type=checkbox]");
        Assert.Equal(AssistantTasks.Lendable.Count, boxes.Count);
        Assert.Equal(2, boxes.Count(box => !box.HasAttribute("disabled")));
        await boxes[0].ChangeAsync(new() { Value = true });
        await page.Find("dialog form").SubmitAsync();

        var lent = Assert.IsType<LendControl>(Link.Asked[^1].Command);
        Assert.Equal(("p-3", 10), (lent.ToPersonId, lent.Minutes));
        Assert.Equal([AssistantTask.RoomNoise], lent.Tasks);
    }

    [Fact]
    public async Task WhileLentTheClinicianSeesTheTimeLeftAndTakesBack()
    {
        var page = await Open(View(new ControlView(2, "p-3", "Ada Wiksell") { Loan = new ControlLoanView("p-1", "Maren Toft", [AssistantTask.RoomNoise], SampleViews.HubTime.AddMinutes(9.5)), HeldBeforeId = "p-1", LastChange = "lent" }));

        Assert.Contains("Ada Wiksell has control to measure the room noise, lent by you; 9 minutes left.", Strip(page), StringComparison.Ordinal);
        Assert.Equal("You lent control to Ada Wiksell. Take it back first.", Desk.Move("add-note").WhyNot);
        await page.Button("Take back now").ClickAsync(new());
        Assert.IsType<TakeBackControl>(Link.Asked[^1].Command);
    }

    [Fact]
    public async Task AnOfferIsAcceptedByWhomItIsFor()
    {
        var page = await Open(View(new ControlView(1, "p-2", "Ivo Lindqvist") { Offer = new ControlOfferView("p-1", "Maren Toft", "to supervise") }));

        await page.Button("Accept control").ClickAsync(new());

        Assert.IsType<AcceptControl>(Link.Asked[^1].Command);
    }

    [Fact]
    public async Task WhoIsInControlIsHeardEveryTenSecondsAndNobodyElse()
    {
        await Open(View(new ControlView(1, "p-1", "Maren Toft")));
        Time.Advance(TimeSpan.FromSeconds(31));
        Assert.Equal(3, Link.Renewed.Count);

        Link.Push(View(new ControlView(2, "p-2", "Ivo Lindqvist")) with { Version = 41 });
        Time.Advance(TimeSpan.FromSeconds(31));
        Assert.Equal(3, Link.Renewed.Count);

        // Whoever lent a task answers for the session all the same.
        Link.Push(View(new ControlView(3, "p-3", "Ada Wiksell") { Loan = new ControlLoanView("p-1", "Maren Toft", [AssistantTask.RoomNoise], SampleViews.HubTime.AddMinutes(9)) }) with { Version = 42 });
        Time.Advance(TimeSpan.FromSeconds(31));
        Assert.InRange(Link.Renewed.Count, 5, 7);
    }

    [Fact]
    public async Task AHandoffIsAcknowledgedOnTheClosedSession()
    {
        var closed = SampleViews.At(SessionStage.Closed);
        var page = await Open(Offering(closed with { Control = closed.Control with { OpenHandoff = new HandoffOwner(null, "Harbour Street practice") } }));

        await page.Find(".banner input, form input").InputAsync(new() { Value = "their office called back" });
        await page.Button("They have it in hand").ClickAsync(new());

        Assert.Equal(new AcknowledgeHandoff("their office called back"), Link.Asked[^1].Command);
    }

    [Fact]
    public async Task HandoffsThatWaitStandOnTheStartPageOnesOwnFirst()
    {
        await SignIn();
        Link.Board = SampleViews.Board() with
        {
            Handoffs = [new HandoffRow(SampleViews.Session, "Edda Sorrel", new HandoffOwner(null, "Harbour Street practice")), new HandoffRow(SampleViews.Session, "Odo Fenn", new HandoffOwner("p-1", "Maren Toft"))],
        };
        var page = Render<TodayPage>();

        var rows = page.FindAll(".handoffs li").Select(row => Reading.Text(row)).ToList();
        Assert.StartsWith("The next step for Odo Fenn is with you", rows[0], StringComparison.Ordinal);
        Assert.StartsWith("The next step for Edda Sorrel is with Harbour Street practice , outside.", rows[1], StringComparison.Ordinal);
    }

    [Fact]
    public async Task ASideProofIsLentWithItsLevel()
    {
        Link.Colleagues = [new ColleagueView("p-3", "Ada Wiksell", false, false, [AssistantTask.SideProof])];
        var page = await Open(View(new ControlView(1, "p-1", "Maren Toft")));
        await page.Button("Lend a task…").ClickAsync(new());
        await page.Find("dialog select").ChangeAsync(new() { Value = "p-3" });
        await page.Field("prove the sides").ChangeAsync(new() { Value = true });

        page.Field("Level of the side proof").Change("55");
        Assert.True(page.Button("Lend it").HasAttribute("disabled"));
        page.Field("Level of the side proof").Change("45");
        await page.Find("dialog form").SubmitAsync();

        Assert.Equal(45, Assert.IsType<LendControl>(Link.Asked[^1].Command).SideProofDbHl);
    }

    [Fact]
    public async Task WhatStandsAgainstLendingIsSaidBeforeAnythingIsFilledIn()
    {
        var page = await Open(View(new ControlView(1, "p-1", "Maren Toft")).Without("lend-control", "Consent to an assistant being present is missing."));

        await page.Button("Lend a task…").ClickAsync(new());

        Assert.Empty(page.FindAll("dialog"));
        Assert.Contains("Consent to an assistant being present is missing.", Strip(page), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AnAssistantProvesTheSidesWithOneButtonAndSeesNoLevel()
    {
        SignedIn = new Me("p-3", "Ada Wiksell", [Roles.Assistant]);
        await SignIn();
        Link.Reply = new WatchReply(View(new ControlView(2, "p-3", "Ada Wiksell") { Loan = new ControlLoanView("p-1", "Maren Toft", [AssistantTask.SideProof], SampleViews.HubTime.AddMinutes(5)) { SideProofDbHl = 45 } }, SessionStage.SideProof), null);
        var page = Render<TaskPage>(parameters => parameters.Add(task => task.Id, SampleViews.Session.Value));

        Assert.Empty(page.FindAll("input"));
        Assert.DoesNotMatch(@"\b(45|dB|Hz)\b", page.Words());
        await page.Button("Prove the sides").ClickAsync(new());

        Assert.Equal(45, Assert.IsType<ProveSidesStep>(Assert.IsType<OrderStep>(Link.Asked[^1].Command).Request).LevelDbHl);
    }

    [Fact]
    public async Task ACoordinatorWhoAssistsFindsTheirTasksOnTheStartPage()
    {
        SignedIn = new Me("p-3", "Ada Wiksell", [Roles.Coordinator, Roles.Assistant]);
        await SignIn();
        var task = new SessionRow(SampleViews.Session, SampleViews.HubTime, new PersonTested("P-0107", "Edda Sorrel", default, string.Empty), "at home", new KitPresence(new KitId("kit-01"), true), SessionStage.RoomNoise, "Ada Wiksell");
        Link.Board = SampleViews.Board() with { Tasks = [task] };

        var page = Render<TodayPage>();

        Assert.Contains("Your tasks", page.Words(), StringComparison.Ordinal);
        Assert.Contains("Open the task with Edda Sorrel", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AHandoffToSomebodyWhoIsGoneIsTakenUpWithALine()
    {
        Link.Colleagues = [new ColleagueView("p-1", "Maren Toft", true, true, [])];
        var closed = SampleViews.At(SessionStage.Closed);
        var page = await Open(Offering(closed with { Control = closed.Control with { OpenHandoff = new HandoffOwner("p-9", "Ivo Lindqvist") } }));

        page.WaitForAssertion(() => Assert.Contains("Ivo Lindqvist does not work with this hub any more.", page.Words(), StringComparison.Ordinal));
        await page.Find(".banner input, form input").InputAsync(new() { Value = "I take it up" });
        await page.Button("It is in hand").ClickAsync(new());

        Assert.Equal(new AcknowledgeHandoff("I take it up"), Link.Asked[^1].Command);
    }

    [Fact]
    public async Task AnAssistantSeesTheTaskAndItsEnd()
    {
        SignedIn = new Me("p-3", "Ada Wiksell", [Roles.Assistant]);
        await SignIn();
        Link.Reply = new WatchReply(View(new ControlView(2, "p-3", "Ada Wiksell") { Loan = new ControlLoanView("p-1", "Maren Toft", [AssistantTask.RoomNoise], SampleViews.HubTime.AddMinutes(5)) }, SessionStage.RoomNoise), null);
        var page = Render<TaskPage>(parameters => parameters.Add(task => task.Id, SampleViews.Session.Value));

        Assert.Contains("You have control to measure the room noise, lent by Maren Toft", Strip(page), StringComparison.Ordinal);
        await page.Button("Measure the room").ClickAsync(new());
        Assert.IsType<MeasureRoomStep>(Assert.IsType<OrderStep>(Link.Asked[^1].Command).Request);
        Assert.False(page.HasButton("Prove the sides"));

        Link.Push(View(new ControlView(3, null, null) { LastChange = "Control is with Maren Toft again: taken back from Ada Wiksell." }, SessionStage.RoomNoise) with { Version = 41 });
        page.WaitForAssertion(() => Assert.Contains("taken back from Ada Wiksell", page.Words(), StringComparison.Ordinal));
    }

    private static SessionView View(ControlView control, SessionStage stage = SessionStage.Testing) => Offering(SampleViews.At(stage) with { Control = control });

    private static SessionView Offering(SessionView view) =>
        view with { Moves = [.. view.Moves.Where(move => !_control.Contains(move.Name)).Select(move => move with { Allowed = true, WhyNot = null }), .. _control.Select(name => new Move(name, true, null))] };

    private static string Strip<T>(IRenderedComponent<T> page)
        where T : Microsoft.AspNetCore.Components.IComponent => Reading.Text(page.Find("section.control"));
}
