using System.Collections.Concurrent;
using System.Data;
using System.Data.Common;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Storage;

public sealed class DiskFaultTests
{
    [Fact]
    public async Task AFullDiskRefusesTheCommandAndHalfAppliesNothing()
    {
        var disk = new SmallDisk();
        await using var hub = await RunningHub.Start(configure: services => services.ConfigureDbContext<HubContext>(options => options.AddInterceptors(disk)));
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(clinician);
        await using var console = await hub.Console(clinician);
        await console.Watch(session);
        await console.Must(new TakeControl());
        await console.Watch(session);
        var before = console.View!.Version;
        var note = console.Envelope(new AddNote(new string('x', 4000)));

        disk.Full = true;
        Receipt? refused = null;
        for (var tries = 0; tries < 20 && refused?.Refusal is null; tries++)
        {
            // The last free pages may still take one.
            refused = await console.Send(note with { CommandId = CommandId.New() });
        }

        Assert.Equal(RefusalCodes.StorageFault, refused!.Refusal!.Code);
        await console.Watch(session);
        var during = console.View.Version;
        Assert.True(console.View.Integrity.Valid);
        Assert.Null(await hub.Get<SessionStore>().FindReceipt(refused.CommandId, TestContext.Current.CancellationToken));

        disk.Full = false;
        Assert.Null((await console.Send(note with { CommandId = refused.CommandId, ExpectedVersion = during })).Refusal);
        await console.Watch(session);
        Assert.Equal(during + 1, console.View.Version);
        Assert.True(during >= before);
    }

    /// <summary>SQLite's own limit of pages: what it answers beyond is what it answers on a full disk (SQLITE_FULL).</summary>
    private sealed class SmallDisk : DbConnectionInterceptor
    {
        private readonly ConcurrentBag<DbConnection> _opened = [];
        private volatile bool _full;

        /// <summary>Holds for connections that are open, and for those that come.</summary>
        public bool Full
        {
            get => _full;
            set
            {
                _full = value;
                foreach (var connection in _opened.Where(connection => connection.State == ConnectionState.Open))
                {
                    Limit(connection);
                }
            }
        }

        public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData) => Limit(connection);

        public override Task ConnectionOpenedAsync(DbConnection connection, ConnectionEndEventData eventData, CancellationToken cancellationToken = default)
        {
            _opened.Add(connection);
            Limit(connection);
            return Task.CompletedTask;
        }

        private void Limit(DbConnection connection)
        {
            using var command = connection.CreateCommand();
            command.CommandText = Full ? "PRAGMA max_page_count = 1" : "PRAGMA max_page_count = 1073741823";
            command.ExecuteScalar();
        }
    }
}
