using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Identity;

/// <summary>The look at the accounts of connected consoles closes those that were looked at, and no others.</summary>
public sealed class LiveWatchTests
{
    [Fact]
    public async Task AConsoleThatComesWhileAccountsAreReadStays()
    {
        var token = TestContext.Current.CancellationToken;
        await using var hub = await RunningHub.Start();
        var (live, signIns, time, closed) = (new LivePeople(), hub.Get<SignIns>(), new FakeTimeProvider(), 0);
        var (here, comes) = (await hub.Person("Maren Toft", Roles.Clinician), await hub.Person("Ivo Brandt", Roles.Clinician));
        live.Came("here", new LiveConsole(here, await signIns.Begin(here, proven: true), null, new HashSet<string>(), () => { }) { Stays = true });
        var coming = new LiveConsole(comes, await signIns.Begin(comes, proven: true), null, new HashSet<string>(), () => Interlocked.Increment(ref closed)) { Stays = true };
        var contexts = new ComingMeanwhile(hub.Get<IDbContextFactory<HubContext>>(), () => live.Came("comes", coming), () => Volatile.Read(ref closed));
        using var watch = new LiveWatch(live, signIns, contexts, time, NullLogger<LiveWatch>.Instance);
        await watch.StartAsync(token);

        await Eventually.Holds(
            () =>
            {
                time.Advance(TimeSpan.FromSeconds(2));
                return contexts.ClosedBySecondLook is not null;
            },
            "accounts were read twice",
            TimeSpan.FromSeconds(30),
            token);
        await watch.StopAsync(token);

        Assert.Equal(0, contexts.ClosedBySecondLook);
        Assert.Equal(2, live.All.Count);
    }

    /// <summary>Lets a console come after it was settled whose accounts are read; says at the second look what the first one closed.</summary>
    private sealed class ComingMeanwhile(IDbContextFactory<HubContext> contexts, Action comes, Func<int> closed) : IDbContextFactory<HubContext>
    {
        private int _looks;

        public int? ClosedBySecondLook { get; private set; }

        public HubContext CreateDbContext()
        {
            switch (++_looks)
            {
                case 1:
                    comes();
                    break;
                case 2:
                    ClosedBySecondLook = closed();
                    break;
                default:
                    break;
            }

            return contexts.CreateDbContext();
        }
    }
}
