using TeleHearing.Hub.Cli.Doctor;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Neighbours;

/// <summary>What the doctor says of a database that hubs share.</summary>
public sealed class SharedDatabaseCheckTests
{
    [Fact]
    public async Task TheDoctorSaysWhatADatabaseLacks()
    {
        var token = TestContext.Current.CancellationToken;
        var database = await (await PostgresServer.One).Database();
        var empty = await SharedDatabaseCheck.Examine(database, TimeProvider.System, token);
        Assert.Contains("it is empty", empty[0].Text, StringComparison.Ordinal);

        // The tests' own server does not wait for its disk, which a server in service must.
        Assert.Equal(Sign.Fault, empty[1].Sign);
        Assert.StartsWith("fsync is off", empty[1].Text, StringComparison.Ordinal);
        Assert.Equal(Sign.Ok, empty[2].Sign);

        using var files = new TempFolder();
        var change = await TwoHubs.Settings(files, redis: null);
        await using var hub = await RunningHub.Start(change: change);
        var used = hub.Get<TeleHearing.Hub.Hosting.HubSettings>().Database!;
        Assert.Equal(Sign.Ok, (await SharedDatabaseCheck.Examine(used, TimeProvider.System, token))[0].Sign);

        var gone = await SharedDatabaseCheck.Examine("Host=127.0.0.1;Port=1;Username=nobody;Database=none", TimeProvider.System, token);
        Assert.Contains("cannot be reached", Assert.Single(gone).Text, StringComparison.Ordinal);
    }
}
