using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Hosting;

/// <summary>One connection that asks too much is refused in words, keeps its way to silence, and costs the others nothing.</summary>
public sealed class CallLimitsTests
{
    /// <summary>Calls a second, so few that none comes back while a test runs, however slow the machine is.</summary>
    private const double NoneComesBack = 0.001;

    [Fact]
    public void ABudgetGivesSoManyAtOnceAndSoManyASecond()
    {
        var time = new FakeTimeProvider();
        var budget = new CallBudget(10, 3, time);

        Assert.Equal([true, true, true, false], [budget.Take(), budget.Take(), budget.Take(), budget.Take()]);
        time.Advance(TimeSpan.FromMilliseconds(99));
        Assert.False(budget.Take());
        time.Advance(TimeSpan.FromMilliseconds(1));
        Assert.True(budget.Take());
        time.Advance(TimeSpan.FromHours(1));
        Assert.Equal([true, true, true, false], [budget.Take(), budget.Take(), budget.Take(), budget.Take()]);
    }

    [Fact]
    public void WhoWaitsIsLetThroughWhenItIsDue()
    {
        var time = new FakeTimeProvider();
        var budget = new CallBudget(10, 1, time);

        Assert.True(budget.Wait(TestContext.Current.CancellationToken).IsCompletedSuccessfully);
        var (second, third) = (budget.Wait(TestContext.Current.CancellationToken), budget.Wait(TestContext.Current.CancellationToken));
        time.Advance(TimeSpan.FromMilliseconds(100));
        Assert.Equal((true, false), (second.IsCompletedSuccessfully, third.IsCompletedSuccessfully));
        time.Advance(TimeSpan.FromMilliseconds(100));
        Assert.True(third.IsCompletedSuccessfully);
    }

    [Fact]
    public async Task AFloodIsRefusedInWordsAndSilenceIsNot()
    {
        var token = TestContext.Current.CancellationToken;

        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton(new CallRates(NoneComesBack, 60, 1000, 2000)));
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        await kit.Connect();
        var session = await hub.Session(clinician);
        await using var console = await hub.Console(clinician);
        await using var other = await hub.Console(clinician);
        await console.Watch(session);
        await console.Must(new TakeControl());
        await console.Must(new Advance());
        await console.Watch(session);

        var receipts = new List<Receipt>();
        for (var number = 0; number < 80; number++)
        {
            receipts.Add(await console.Send(console.Envelope(new AddNote($"note {number}"))));
        }

        var refused = receipts.Where(receipt => receipt.Refusal is not null).ToList();
        Assert.InRange(refused.Count, 20, 40);
        Assert.All(refused, receipt => Assert.Equal(RefusalCodes.TooOften, receipt.Refusal!.Code));
        Assert.All(refused, receipt => Assert.Contains("more than 0.001 times a second", receipt.Refusal!.Sentence, StringComparison.Ordinal));
        await Assert.ThrowsAsync<HubException>(() => console.Connection.InvokeAsync(nameof(IConsoleHub.RenewControl), session, token));

        // The way to silence is open, and so is the other console.
        Assert.Null((await console.Send(console.Envelope(new Hold(null)))).Refusal);
        Assert.NotNull((await other.Watch(session)).View);

        await hub.Get<AuditTrail>().Flush(everything: true);
        await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(token);
        var entries = (await context.AuditEntries.AsNoTracking().ToListAsync(token)).Select(row => AuditEntry.Read(row.Kind, row.Payload)!).Where(entry => entry.Refused == RefusalCodes.TooOften);
        Assert.Equal(refused.Count + 1, entries.Sum(entry => entry.Times));
    }

    [Fact]
    public async Task WhateverSilencesHasAMeasureOfItsOwnAndARefusalOfItsOwn()
    {
        var token = TestContext.Current.CancellationToken;
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton(new CallRates(NoneComesBack, 5, 1000, 2000)));
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(clinician);
        await using var console = await hub.Console(clinician);
        await console.Watch(session);
        for (var spent = 1; spent < 5; spent++)
        {
            await console.Connection.InvokeAsync(nameof(IConsoleHub.RenewControl), session, token);
        }

        Assert.Equal(RefusalCodes.TooOften, (await console.Send(console.Envelope(new TakeControl()))).Refusal?.Code);

        // Nobody is in control, so none of them is carried out; but each of them is looked at.
        SessionCommand[] silences = [new Hold(null), new CutStep(StepId.New()), new TakeOverControl("no answer"), new Abort("unwell"), new TakeBackControl()];
        foreach (var silence in silences)
        {
            Assert.DoesNotContain((await console.Send(console.Envelope(silence))).Refusal?.Code, new[] { null, RefusalCodes.TooOften });
        }

        var refusal = (await console.Send(console.Envelope(new Hold(null)))).Refusal;
        Assert.Equal(RefusalCodes.TooOften, refusal?.Code);
        Assert.Contains("asks for silence more than 0.001 times a second", refusal!.Sentence, StringComparison.Ordinal);
        Assert.Contains("press Stop", refusal.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AKitThatCallsTooOftenWaitsAndNothingIsLost()
    {
        var token = TestContext.Current.CancellationToken;
        var clock = new WaitedFor();

        // Its greeting is two calls.
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton(new CallRates(100, 300, 1, 3) { Clock = clock }));
        await using var kit = await hub.Kit();
        await kit.Connect();
        Assert.Equal(1, (await kit.Report(null, new HelpCalled())).AcknowledgedSequence);

        var second = kit.Report(null, new HelpCalled());
        await clock.Waits.Reader.ReadAsync(token);
        Assert.False(second.IsCompleted);
        Assert.Equal(1, await hub.Get<SessionStore>().FindCursor(kit.JournalId, token));

        clock.Advance(TimeSpan.FromSeconds(1));
        Assert.Equal((2, null), ((await second).AcknowledgedSequence, (await second).Refusal));
    }
}
