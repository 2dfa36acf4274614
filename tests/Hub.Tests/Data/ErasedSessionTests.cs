using System.Security.Cryptography;
using TeleHearing.Contracts;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Data;

/// <summary>The log of an erased session is closed: what comes late is taken from the kit and added nowhere, and no other write waits for it.</summary>
public sealed class ErasedSessionTests : IAsyncLifetime
{
    private SessionAtTesting _at = null!;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        _at = await SessionAtTesting.Start();
        await _at.Kit.Disconnect();
        await _at.Console.Until(view => view.Stage == SessionStage.LinkLost);
        await _at.Console.Must(new Abort("the link does not come back"));
        Assert.Single((await _at.Hub.Get<PersonErasure>().Erase("P-0001", "asked for by the person", null, 0, Token)).Erased);
    }

    public ValueTask DisposeAsync() => _at.DisposeAsync();

    [Fact]
    public async Task AKitThatComesBackIsRidOfItsReportsAndAttestsAndTheLogStays()
    {
        var version = (await Load()).State.Version;
        await _at.Kit.Connect();

        var ack = await _at.Kit.Report(_at.Session, new HelpCalled(), new StopPressed());

        Assert.Null(ack.Refusal);
        Assert.True(ack.AcknowledgedSequence > 0);
        Assert.Null((await _at.Kit.Attest()).Refusal);
        var kit = (await _at.Hub.Get<KitFacts>().Load(_at.Kit.KitId, Token))!.State;
        Assert.Empty(kit.Unwiped);
        Assert.Equal(version, (await Load()).State.Version);
        Assert.Equal(RefusalCodes.SessionUnknown, (await _at.Console.Ask(new AddNote("late"))).Refusal!.Code);
    }

    [Fact]
    public async Task NothingIsAddedAndNothingIsSealedForIt()
    {
        var loaded = await Load();
        var note = new AppendBatch([new SessionAppend(loaded, [new NoteAdded("late", new Actor("m", "Maren Toft"))])], null, null, _ => { });

        await Assert.ThrowsAsync<InvalidOperationException>(() => _at.Hub.Get<SessionStore>().Append(note, Token));
        Assert.Throws<CryptographicException>(() => _at.Hub.Get<Seals>().Close(Seals.ScopeOf(_at.Session.Value), "place", "text"));
        Assert.Equal(loaded.State.Version, (await Load()).State.Version);
    }

    private async Task<LoadedSession> Load() => (await _at.Hub.Get<SessionStore>().Load(_at.Session, Token))!;
}
