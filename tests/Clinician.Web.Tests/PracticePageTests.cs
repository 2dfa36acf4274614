using Bunit;
using TeleHearing.Clinician.Web.Practice;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Tiers, sign-offs and registrations as people read and keep them.</summary>
public sealed class PracticePageTests : ConsoleContext
{
    private static readonly DateOnly _today = new(2031, 3, 18);

    private static PracticeView View(string assistant = "Ilse Sorrel") => new(
        _today,
        [
            new AssistantView(
                new PracticePerson("a-1", assistant),
                AssistantTier.Trained,
                "course of the clinic",
                [new SignOffView(Guid.CreateVersion7(), AssistantTask.EarPicture, "Maren Toft", VerifiedHow.InPerson, _today.AddDays(-300), _today.AddDays(12), null, "Iris Hale", null, Lasting.EndsSoon)],
                [AssistantTask.HandleKit, AssistantTask.EarPicture]),
        ],
        [
            new ClinicianView(new PracticePerson("p-1", "Maren Toft"), [new RegistrationView(Guid.CreateVersion7(), "CA-NS", "A-1042", "Audiologist", _today.AddDays(-1), "Maren Toft", null, Lasting.Over)]),
            new ClinicianView(new PracticePerson("p-2", "Ivo Lindqvist"), []),
        ],
        [new PracticePerson("p-1", "Maren Toft")],
        new IntegrityView(true, null));

    private async Task<IRenderedComponent<PracticePage>> Show(string role, PracticeView? view = null)
    {
        SignedIn = role == Roles.Clinician ? new Me("p-1", "Maren Toft", [role]) : new Me("c-1", "Pella Nyström", [role]);
        await SignIn();
        Link.Practice = new PracticeReply(view ?? View(), null);
        return Render<PracticePage>();
    }

    [Fact]
    public async Task WhatEndsSoonAndWhatIsOverIsSaidInWords()
    {
        var page = await Show(Roles.Clinician);

        Assert.Contains("▲ Ilse Sorrel: the sign-off to take ear pictures ends on 30 March 2031.", page.Words(), StringComparison.Ordinal);
        Assert.Contains("▲ Maren Toft: the registration for CA-NS ended on 17 March 2031.", page.Words(), StringComparison.Ordinal);
        Assert.Contains("✕ expired", page.Words(), StringComparison.Ordinal);
        Assert.Contains("local law and the licensing body decide", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ClinicansKeepTheirOwnRegistrationsAndNoSignOffs()
    {
        var page = await Show(Roles.Clinician);

        Assert.Contains("Enter a registration of Maren Toft", page.Words(), StringComparison.Ordinal);
        Assert.DoesNotContain("Enter a registration of Ivo Lindqvist", page.Words(), StringComparison.Ordinal);
        Assert.DoesNotContain("Record a sign-off", page.Words(), StringComparison.Ordinal);

        page.Field("Country or part of it").Input("xx");
        Assert.Contains("XX is no code of a country", page.Words(), StringComparison.Ordinal);
        await page.FindAll("form").Single(form => form.TextContent.Contains("Keep the registration", StringComparison.Ordinal)).SubmitAsync();
        Assert.Empty(Link.AskedOfFleet);

        page.Field("Country or part of it").Input("ca-nb");
        Assert.Contains("CA-NB (Canada)", page.Words(), StringComparison.Ordinal);
        page.Field("Number in the register").Input("B-77");
        page.Field("Title in the register").Input("Audiologist");
        page.Field("Valid until").Change("2032-03-31");
        await page.FindAll("form").Single(form => form.TextContent.Contains("Keep the registration", StringComparison.Ordinal)).SubmitAsync();

        var kept = Assert.IsType<KeepRegistration>(Assert.Single(Link.AskedOfFleet).Command);
        Assert.Equal(("p-1", "CA-NB", "B-77", "Audiologist", new DateOnly(2032, 3, 31)), (kept.PersonId, kept.Jurisdiction, kept.Number, kept.Title, kept.ValidUntil));
    }

    [Fact]
    public async Task TheCoordinatorRecordsASignOffAndNeverOneByTheAssistant()
    {
        var page = await Show(Roles.Coordinator);

        page.Field("Verified by").Change("p-1");
        page.Field("Task").Change(nameof(AssistantTask.InsertTips));
        page.Field("Day it was seen").Change("2031-03-17");
        page.Field("Last day it counts").Change("2032-03-01");
        await page.FindAll("form").Single(form => form.TextContent.Contains("Record the sign-off", StringComparison.Ordinal)).SubmitAsync();

        var given = Assert.IsType<GiveSignOff>(Assert.Single(Link.AskedOfFleet).Command);
        Assert.Equal(("a-1", AssistantTask.InsertTips, "p-1", VerifiedHow.InPerson, new DateOnly(2031, 3, 17), new DateOnly(2032, 3, 1)), (given.PersonId, given.Task, given.VerifiedById, given.How, given.On, given.Until));
        Assert.DoesNotContain("Enter a registration", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ARefusalIsShownInItsWords()
    {
        var page = await Show(Roles.Coordinator);
        Link.Practice = new PracticeReply(null, new Refusal(RefusalCodes.RoleNotAllowed, "Your role does not allow this.", "Ask the owner."));

        var refused = Render<PracticePage>();

        Assert.Contains("Your role does not allow this. Ask the owner.", refused.Words(), StringComparison.Ordinal);
        Assert.DoesNotContain("cannot be shown", page.Words(), StringComparison.Ordinal);
    }
}
