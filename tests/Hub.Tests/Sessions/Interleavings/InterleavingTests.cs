using MediatR;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions.Interleavings;

/// <summary>Stale, replayed, forged, turned-round and late commands between several people, two sessions and two kits: none is carried out, and everything that should be is. Source: the project's own design, "Session states" and "How one presentation travels".</summary>
public sealed class InterleavingTests(ITestOutputHelper output)
{
    private const int Histories = 100_000;
    private const int StoredHistories = 80;
    private const int Moves = 14;
    private const int Seed = 20260302;

    [Fact]
    public async Task NothingStaleReplayedForgedOrTurnedRoundIsCarriedOutInAHundredThousandHistories()
    {
        var begun = Begun();
        var parts = await Task.WhenAll(Enumerable.Range(0, Environment.ProcessorCount).Select(part => Task.Run(async () =>
        {
            var tally = new Tally();
            for (var history = part; history < Histories; history += Environment.ProcessorCount)
            {
                SessionState[] states = [.. begun];
                ControlModel[] models = [.. states.Select(state => new ControlModel(state.Version, state.Epoch, state.Holder!.Id, stepsPossible: true))];
                await Alone(history, new Interleaving(new Random(Seed + history), new PureHub(states), [.. states.Select(state => state.SessionId)], models, [new KitDoor(), new KitDoor()], tally));
            }

            return tally;
        })));
        var all = new Tally();
        foreach (var part in parts)
        {
            all.Add(part);
        }

        output.WriteLine($"{Histories} histories: {all.Refused} commands and orders that must not be carried out, 0 carried out; {all.Carried} that must be, all carried out. {all.InWords()}");
        Assert.All(Enum.GetValues<Attack>().Except([Attack.Replayed]), attack => Assert.True(all.RefusedOf(attack) >= 1000, $"Too little was tried of {attack}."));

        // A refusal counts for its own reason alone: an order that was late says nothing about epochs.
        Assert.All([RefusalCodes.OldEpoch, RefusalCodes.OtherSession, RefusalCodes.Expired, RefusalCodes.Duplicate], code => Assert.True(all.RefusedBy(code) >= 1000, $"Too few orders were refused with {code}."));
        Assert.True(all.CarriedOf(Attack.OrderDelivered) >= 1000, "Too few orders were begun for the refusals to mean anything.");
        Assert.True(all.Carried >= Histories, "Too little was carried out for the refusals to mean anything.");
    }

    [Fact]
    public async Task TheSameHoldsOfTheStoreAndThePipeline()
    {
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        await using var other = await hub.Kit("kit-02");
        var people = new Dictionary<string, PersonCaller>();
        foreach (var person in new[] { PureSession.Maren, PureSession.Ivo, PureSession.Ada })
        {
            people.Add(person.Id, person with { Id = await hub.Person(person.Name, [.. person.Roles]) });
        }

        var tally = new Tally();
        for (var history = 0; history < StoredHistories; history++)
        {
            SessionId[] sessions = [await hub.Session(people["maren"].Id), await hub.Session(people["maren"].Id, "kit-02")];
            var store = new StoredHub(hub, people);
            foreach (var session in sessions)
            {
                await store.Begin(session, people["maren"]);
            }

            ControlModel[] models = [new(4, 1, "maren", stepsPossible: false), new(4, 1, "maren", stepsPossible: false)];
            await Alone(history, new Interleaving(new Random(Seed + history), store, sessions, models, null, tally));
            foreach (var session in sessions)
            {
                await store.Close(session, models[Array.IndexOf(sessions, session)]);
            }
        }

        output.WriteLine($"{StoredHistories} histories in the store: {tally.Refused} refused, {tally.Carried} carried out. {tally.InWords()}");
        Assert.True(tally.Refused >= 4 * StoredHistories && tally.Carried >= StoredHistories);
        Assert.True(tally.RefusedOf(Attack.Replayed) >= 10, "Too little was sent twice.");
    }

    private static async Task Alone(int history, Interleaving interleaving)
    {
        try
        {
            await interleaving.Run(Moves);
        }
        catch (Exception fault) when (fault is Xunit.Sdk.IAssertionException)
        {
            Assert.Fail($"History {history}: {fault.Message}");
        }
    }

    /// <summary>Two sessions at testing with a kit each, both with the same clinician under the same epoch: the worst there is for telling them apart.</summary>
    private static SessionState[] Begun()
    {
        var (first, second) = (PureSession.At(SessionStage.Testing), PureSession.At(SessionStage.Testing));
        second.Happened(new SessionKitChanged(new KitId("kit-01"), new KitId("kit-02"), new Actor("maren", "Maren Toft")));
        first.Happened(new NoteAdded("the same number of events", new Actor("maren", "Maren Toft")));
        return [first.State, second.State];
    }
}

/// <summary>The hub's whole pipeline and its store.</summary>
internal sealed class StoredHub(RunningHub hub, IReadOnlyDictionary<string, PersonCaller> people) : IHubAtHand
{
    public DateTimeOffset Now => hub.Get<TimeProvider>().GetUtcNow();

    public async Task Begin(SessionId session, PersonCaller by)
    {
        var receipt = await Ask(new CommandEnvelope(Protocol.Version, CommandId.New(), session, 0, 1, Now.AddMinutes(1), new TakeControl()), by);
        Assert.Null(receipt.Refusal);
        await hub.Happened(session, Samples.AssistantAgreed);
    }

    public async Task<(bool Carried, StepOrder? Order)> Send(CommandEnvelope envelope, PersonCaller by)
    {
        var before = await Version(envelope.SessionId);
        await Ask(envelope with { Command = Known(envelope.Command) }, people.GetValueOrDefault(by.Id, by));
        return (await Version(envelope.SessionId) != before, null);
    }

    public void End(int session, StepId step) => throw new NotSupportedException("No kit is connected.");

    // Time is the machine's own; that control ends with it is held by the tests with the hub's time in their hand.
    public bool Pass(TimeSpan time, int session, bool silent, bool lenderSilent) => false;

    /// <summary>Frees the kit for the next history, whoever is in control.</summary>
    public async Task Close(SessionId session, ControlModel model)
    {
        var maren = people["maren"];
        var (epoch, version) = (model.Epoch, model.Version);
        Assert.Equal(version, await Version(session));
        if (model.Holder != "maren")
        {
            SessionCommand take = model.Holder is null ? new TakeControl() : new TakeOverControl("the end");
            var receipt = await Ask(new CommandEnvelope(Protocol.Version, CommandId.New(), session, epoch, version, Now.AddMinutes(1), take), maren);
            (epoch, version) = receipt.Refusal is null ? (epoch + 1, version + 1) : await TakeBack(session, epoch, version, maren);
        }

        Assert.Null((await Ask(new CommandEnvelope(Protocol.Version, CommandId.New(), session, epoch, version, Now.AddMinutes(1), new Abort("the end")), maren)).Refusal);
    }

    private async Task<(int Epoch, long Version)> TakeBack(SessionId session, int epoch, long version, PersonCaller by)
    {
        Assert.Null((await Ask(new CommandEnvelope(Protocol.Version, CommandId.New(), session, epoch, version, Now.AddMinutes(1), new TakeBackControl()), by)).Refusal);
        return (epoch + 1, version + 1);
    }

    private SessionCommand Known(SessionCommand command) => command switch
    {
        GrantControl grant => new GrantControl(Id(grant.ToPersonId)),
        DeclineControl decline => new DeclineControl(Id(decline.ToPersonId), decline.Why),
        OfferControl offer => new OfferControl(Id(offer.ToPersonId), offer.Why),
        LendControl lend => lend with { ToPersonId = Id(lend.ToPersonId) },
        _ => command,
    };

    private string Id(string person) => people.TryGetValue(person, out var known) ? known.Id : person;

    private async Task<Receipt> Ask(CommandEnvelope envelope, PersonCaller by)
    {
        await using var scope = hub.Get<IServiceScopeFactory>().CreateAsyncScope();
        return await scope.ServiceProvider.GetRequiredService<IMediator>().Send(new AskCommand(envelope, by), TestContext.Current.CancellationToken);
    }

    private async Task<long> Version(SessionId session) => (await hub.Get<SessionStore>().Load(session, TestContext.Current.CancellationToken))!.State.Version;
}
