using System.Collections.Concurrent;
using System.Net;
using System.Net.Http.Json;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>Whatever the store can or cannot do: who asks for silence while a tone sounds gets it, and is told what stands in no record.</summary>
public sealed class SilenceWithoutRecordTests
{
    private static readonly OrderStep _tone = new(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 1000), false);

    [Theory]
    [InlineData("hold", true)]
    [InlineData("hold", false)]
    [InlineData("cut", true)]
    [InlineData("cut", false)]
    [InlineData("abort", true)]
    [InlineData("abort", false)]
    public async Task TheKitIsSilentAndItsStepGetsNoLeaseAnyMore(string which, bool reads)
    {
        var store = new FailingStore();
        await using var at = await SessionAtTesting.Start(store.Configure);
        var step = await Sounds(at);

        (store.GivesNothing, store.TakesNothing) = (!reads, reads);
        var refusal = (await at.Console.Send(at.Console.Envelope(which switch { "hold" => new Hold(null), "cut" => new CutStep(step), _ => new Abort("unwell") }))).Refusal;

        Assert.Equal(RefusalCodes.StorageFault, refusal?.Code);
        Assert.Equal("The kit was told to be silent, but this could not be written down, so the record does not show who asked.", refusal!.Sentence);
        Assert.Contains("press Stop", refusal.Remedy, StringComparison.Ordinal);
        await IsSilent(at, step);

        // Once the disk is well the kit's own report ends the step, and the next one sounds.
        (store.GivesNothing, store.TakesNothing) = (false, false);
        await at.Kit.Report(at.Session, new StepEnded(step, StepEnding.Cut, RefusalCodes.CutByClinician, "cut", null));
        await at.Console.Must(_tone);
        await at.Kit.NextOrder();
        await Lease(at, lease => lease.LengthMs > 0);
    }

    [Fact]
    public async Task TheLogKeepsWhoAskedWhenTheRecordDoesNot()
    {
        var (store, lines) = (new FailingStore(), new Lines());
        await using var at = await SessionAtTesting.Start(services =>
        {
            store.Configure(services);
            services.AddSingleton<ILoggerProvider>(lines);
        });
        await Sounds(at);

        store.TakesNothing = true;
        await at.Console.Send(at.Console.Envelope(new Hold(null)));

        var line = Assert.Single(lines.All, line => line.Contains("asked for silence", StringComparison.Ordinal));
        Assert.Contains(at.Clinician, line, StringComparison.Ordinal);
        Assert.Contains(at.Session.ToString(), line, StringComparison.Ordinal);
        Assert.DoesNotContain("Maren", line, StringComparison.Ordinal);
    }

    [Fact]
    public async Task WhoHasNothingToDoWithTheSessionSilencesNothing()
    {
        var store = new FailingStore();
        await using var at = await SessionAtTesting.Start(store.Configure);
        await using var ada = await at.Hub.Console(await at.Hub.Person("Ada Wiksell", Roles.Assistant));
        var step = await Sounds(at);

        store.GivesNothing = true;
        var refusal = (await ada.Send(at.Console.Envelope(new Hold(null)))).Refusal;
        Assert.Equal(RefusalCodes.StorageFault, refusal?.Code);
        Assert.Contains("Nothing of this was carried out", refusal!.Sentence, StringComparison.Ordinal);

        // Told in order: the first cut it hears is the one of whoever commands, and there is no other.
        Assert.NotNull((await at.Console.Send(at.Console.Envelope(new Hold(null)))).Refusal);
        await IsSilent(at, step);
        Assert.False(at.Kit.Cuts.Reader.TryRead(out _));
    }

    [Fact]
    public async Task WhoWatchesWithoutCommandingSilencesWhenTheStoreCannotSayWhoCommands()
    {
        var store = new FailingStore();
        await using var at = await SessionAtTesting.Start(store.Configure);
        await using var ivo = await at.Hub.Console(await at.Hub.Person("Ivo Lindqvist", Roles.Clinician));
        await ivo.Watch(at.Session);
        var step = await Sounds(at);

        Assert.Equal(RefusalCodes.NotInControl, (await ivo.Send(at.Console.Envelope(new Hold(null)))).Refusal?.Code);
        store.GivesNothing = true;
        Assert.Contains("told to be silent", (await ivo.Send(at.Console.Envelope(new Hold(null)))).Refusal?.Sentence, StringComparison.Ordinal);

        await IsSilent(at, step);
    }

    [Fact]
    public async Task ADamagedLogIsNoReasonToSoundOn()
    {
        await using var at = await SessionAtTesting.Start();
        var step = await Sounds(at);
        var session = at.Session.Value;
        await using (var context = await at.Hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken))
        {
            await context.SessionEvents.Where(row => row.SessionId == session && row.Sequence == 2).ExecuteUpdateAsync(set => set.SetProperty(row => row.TimeTicks, row => row.TimeTicks + 1), TestContext.Current.CancellationToken);
        }

        var refusal = (await at.Console.Send(at.Console.Envelope(new Hold(null)))).Refusal;

        Assert.Equal(RefusalCodes.SessionDamaged, refusal?.Code);
        Assert.EndsWith("The kit was told to be silent all the same.", refusal!.Sentence, StringComparison.Ordinal);
        await IsSilent(at, step);
    }

    [Fact]
    public async Task ARaceLostAfterTheKitWasToldIsRefusedWithThat()
    {
        var store = new FailingStore();
        await using var at = await SessionAtTesting.Start(store.Configure);
        await using var ivo = await at.Hub.Console(await at.Hub.Person("Ivo Lindqvist", Roles.Clinician));
        await ivo.Watch(at.Session);
        var step = await Sounds(at);

        store.BeforeSilence = () => ivo.Must(new TakeOverControl("no answer"));
        var refusal = (await at.Console.Send(at.Console.Envelope(new Hold(null)))).Refusal;

        Assert.Equal(RefusalCodes.NotInControl, refusal?.Code);
        Assert.EndsWith("The kit was told to be silent all the same.", refusal!.Sentence, StringComparison.Ordinal);
        Assert.Equal(step, await at.Kit.Cuts.Reader.ReadAsync(TestContext.Current.CancellationToken));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task ACoveredConsoleSilencesToo(bool reads)
    {
        var store = new FailingStore();
        await using var at = await SessionAtTesting.Start(store.Configure);
        using var browser = at.Hub.Browser(at.Cookies);
        var step = await Sounds(at);
        await browser.PostAsJsonAsync("/api/lock", new LockReport(Left: true, ByHand: true), Protocol.Json, TestContext.Current.CancellationToken);

        (store.GivesNothing, store.TakesNothing) = (!reads, true);
        var answer = await browser.PostAsync("/api/silence", null, TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        var refusal = (await answer.Content.ReadFromJsonAsync<SilenceReply>(Protocol.Json, TestContext.Current.CancellationToken))!.Refusal;
        Assert.Contains("told to be silent", refusal?.Sentence, StringComparison.Ordinal);
        await IsSilent(at, step);
    }

    [Fact]
    public async Task ABrowserWithoutAConsoleSilencesNothingWhileNobodyCanSayWhoItIs()
    {
        var store = new FailingStore();
        await using var at = await SessionAtTesting.Start(store.Configure);
        var elsewhere = await at.Hub.SignIn(at.Clinician);
        using var browser = at.Hub.Browser(elsewhere);
        await Sounds(at);

        store.GivesNothing = true;
        var answer = await browser.PostAsync("/api/silence", null, TestContext.Current.CancellationToken);

        Assert.False(answer.IsSuccessStatusCode);
        Assert.False(at.Kit.Cuts.Reader.TryRead(out _));
    }

    /// <summary>Orders a tone and waits until its lease is renewed.</summary>
    private static async Task<StepId> Sounds(SessionAtTesting at)
    {
        var step = (await at.Console.Must(_tone)).StepId!.Value;
        Assert.Equal(step, (await at.Kit.NextOrder()).StepId);
        await at.Kit.Report(at.Session, new StepStarted(step));
        await at.Console.Watch(at.Session);
        await Lease(at, lease => lease.LengthMs > 0);
        return step;
    }

    private static async Task IsSilent(SessionAtTesting at, StepId step)
    {
        Assert.Equal(step, await at.Kit.Cuts.Reader.ReadAsync(TestContext.Current.CancellationToken));

        // Those that were on their way come first; then none has any length.
        var silent = 0;
        for (var number = 0; number < 50 && silent < 5; number++)
        {
            silent = (await at.Kit.Leases.Reader.ReadAsync(TestContext.Current.CancellationToken)).LengthMs == 0 ? silent + 1 : 0;
        }

        Assert.Equal(5, silent);
    }

    private static async Task Lease(SessionAtTesting at, Func<LeaseGrant, bool> holds)
    {
        while (!holds(await at.Kit.Leases.Reader.ReadAsync(TestContext.Current.CancellationToken)))
        {
            // An earlier one.
        }
    }

    private sealed class Lines : ILoggerProvider, ILogger
    {
        public ConcurrentQueue<string> All { get; } = [];

        public ILogger CreateLogger(string categoryName) => this;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) => All.Enqueue(formatter(state, exception));

        public void Dispose()
        {
        }
    }
}
