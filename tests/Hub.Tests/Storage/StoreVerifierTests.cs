using System.Globalization;
using Microsoft.Data.Sqlite;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Verification;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>A store that was written by a hub is changed in ten thousand ways, as somebody with the disk in hand could; each is found.</summary>
public sealed class StoreVerifierTests : IAsyncLifetime
{
    private const int Mutations = 10_000;

    private readonly TempFolder _folder = new();
    private SqliteConnection _store = null!;
    private OfflineSeals? _keys;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        await using (var hub = await RunningHub.Start(_folder))
        {
            var maren = await hub.Person("Maren Toft", Roles.Clinician);
            var pella = await hub.Person("Pella Nyström", Roles.Coordinator);
            await using var kit = await hub.Kit();
            var session = await hub.Session(maren);
            await hub.Session(maren, reference: "P-0002");
            await using var clinician = await hub.Console(maren);
            await using var coordinator = await hub.Console(pella);
            await clinician.Watch(session);
            await kit.Connect();
            await clinician.Must(new TakeControl());
            await clinician.Must(new AddNote("She hears better with the window shut."));
            await coordinator.MustKit(kit.KitId, new RecordMove("Hill clinic", null, null));
            await coordinator.MustKit(kit.KitId, new RecordMove("shelf", null, null));
            var terms = new FleetCommandEnvelope(Protocol.Version, CommandId.New(), TimeProvider.System.GetUtcNow().AddMinutes(5), new SetTerms(FleetTerms.Initial));
            Assert.Null((await Microsoft.AspNetCore.SignalR.Client.HubConnectionExtensions.InvokeAsync<Receipt>(coordinator.Connection, nameof(IConsoleHub.AskFleet), terms, Token)).Refusal);
        }

        SqliteConnection.ClearAllPools();
        _store = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = Path.Combine(_folder.Path, StorageRegistration.FileName), Pooling = false }.ToString());
        await _store.OpenAsync(Token);
        _keys = await OfflineSeals.Find(_folder.Path, TimeProvider.System);
    }

    public async ValueTask DisposeAsync()
    {
        await _keys!.DisposeAsync();
        SqliteConnection.ClearAllPools();
        await _store.DisposeAsync();
        _folder.Dispose();
    }

    [Fact]
    public async Task AWholeStoreHasNoFault()
    {
        var verdict = await StoreVerifier.Verify(_store, [], _keys!.Seals, Token);

        Assert.Empty(verdict.Faults);
        Assert.Equal(5, verdict.Heads.Count);
        Assert.True(verdict.Entries >= 15);
        Assert.Empty((await StoreVerifier.Verify(_store, verdict.Heads, _keys!.Seals, Token)).Faults);
        Assert.Equal(verdict.Heads, HeadsFile.Read(HeadsFile.Write(verdict.Heads, TimeProvider.System.GetUtcNow())));
    }

    [Fact]
    public async Task EveryMutationIsFound()
    {
        var random = new Random(2_026);
        var heads = (await StoreVerifier.Verify(_store, [], _keys!.Seals, Token)).Heads;
        var mutations = new StoreMutations(_store, random);
        var missed = new List<string>();
        for (var count = 0; count < Mutations; count++)
        {
            await Run("SAVEPOINT mutation");
            var (what, needsHeads) = await mutations.Make();
            var verdict = await StoreVerifier.Judge(_store, needsHeads ? heads : [], _keys!.Seals, Token);
            if (verdict.Faults.Count == 0)
            {
                missed.Add(what);
            }

            await Run("ROLLBACK TO mutation; RELEASE mutation");
        }

        Assert.Empty(missed);
        Assert.Empty((await StoreVerifier.Verify(_store, heads, _keys!.Seals, Token)).Faults);
        Assert.Equal(StoreMutations.Kinds, mutations.Made.Keys.Order());
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task AHeadThatFitsHidesNoOtherOfTheSameEntry(bool thatFitsFirst)
    {
        var fits = (await StoreVerifier.Verify(_store, [], _keys!.Seals, Token)).Heads[0];
        var other = fits with { Hash = new string('0', 64) };

        var faults = (await StoreVerifier.Verify(_store, thatFitsFirst ? [fits, other] : [other, fits], _keys!.Seals, Token)).Faults;

        Assert.Equal((fits.Sequence, "the entry is not the one that was seen before."), (Assert.Single(faults).Entry, faults[0].What));
    }

    [Fact]
    public async Task TheVerbSaysWhereAndWhat()
    {
        var heads = Path.Combine(_folder.Path, "heads.txt");
        Assert.Equal(ExitCodes.Done, (await Verb("--write-heads", heads)).Code);
        Assert.Equal(ExitCodes.BadInput, (await Verb("--write-heads", heads)).Code);
        await Run("DELETE FROM kit_facts WHERE Sequence = 2; UPDATE kits SET FactVersion = 1;");

        // The count was lowered with it: only heads kept elsewhere show it.
        Assert.Equal(ExitCodes.Done, (await Verb()).Code);
        var (code, output, _) = await Verb("--heads", heads);
        Assert.Equal(ExitCodes.Failed, code);
        Assert.Contains("FAULT  facts of kit-01, from entry 2 on: the end is gone: entry 2 was seen before.", output, StringComparison.Ordinal);

        await File.WriteAllTextAsync(heads, "not a head", Token);
        var bad = await Verb("--heads", heads);
        Assert.Equal((ExitCodes.BadInput, true), (bad.Code, bad.Error.Contains("Line 1 is not a head", StringComparison.Ordinal)));
        Assert.Equal(ExitCodes.BadInput, (await Verb("--data", Path.Combine(_folder.Path, "none"))).Code);
    }

    private async Task Run(string sql)
    {
        await using var command = _store.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync(Token);
    }

    private async Task<(int Code, string Output, string Error)> Verb(params string[] arguments)
    {
        await using var output = new StringWriter(CultureInfo.InvariantCulture);
        await using var error = new StringWriter(CultureInfo.InvariantCulture);
        string[] data = arguments.Contains("--data") ? [] : ["--data", _folder.Path];
        var parsed = VerifyCommand.Make(TimeProvider.System).Parse([.. data, .. arguments]);
        var code = await parsed.InvokeAsync(new System.CommandLine.InvocationConfiguration { Output = output, Error = error }, Token);
        return (code, output.ToString(), error.ToString());
    }
}
