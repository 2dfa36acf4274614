using System.Text;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Sessions;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>A whole session of people with marked names, by a hub and an agent as they run at a clinic: nothing they print, log or keep says who it was.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class MarkedNamesTests
{
    private const string Mark = "Qzvxw7";

    private static readonly PersonTested _person = new($"P-{Mark}", $"Ottilie {Mark}brand", new DateOnly(1937, 11, 23), $"Trouble at table, {Mark}referral");
    private static readonly string _clinician = $"Maren {Mark}toft";
    private static readonly string _place = $"Birch Row 4, {Mark}place";
    private static readonly string _note = $"She hears better with the window shut, {Mark}note";

    // What the scripted clinician reads back stands in the record too: birth date, address, telephone.
    private static readonly string[] _marks = [Mark, "1937-11-23", "Orchard Row", "555 0142", "555 0143"];

    [Fact]
    public async Task NothingOutsideTheSealsNamesAnyone()
    {
        var cancellation = TestContext.Current.CancellationToken;
        var began = TimeProvider.System.GetUtcNow();
        var (session, signIn) = (default(SessionId), string.Empty);
        await using var hub = await HubRig.Start(
            async (services, _) =>
            {
                var clinician = await services.GetRequiredService<PeopleAdmin>().Enter(_clinician, [Roles.Clinician, Roles.Coordinator], cancellation);
                session = await services.GetRequiredService<SessionSchedule>().Plan(new SessionPlan(_person, _place, TimeProvider.System.GetUtcNow(), InventedClinic.Kit, clinician), cancellation);
                signIn = await services.GetRequiredService<SignInLinks>().Issue(clinician, cancellation);
            },
            cancellation);
        await using var addresses = new AddressRecorder(hub.Port);
        await using var agent = new AgentRig(addresses.Address, SessionRig.ShortListener, screen: true);
        await agent.Provision("valid", cancellation);
        await agent.Start("fast", hub.EnrolmentCode, cancellation);
        await using var link = new ConsoleLink(addresses.Address, TimeProvider.System);
        await link.SignIn(new Uri(addresses.Address, signIn), cancellation);
        Assert.Null(await link.Watch(session, cancellation));
        var clinician = new ScriptedClinician(link, SessionRig.ShortPlan, new WalkNarrator(TextWriter.Null, TimeProvider.System), TimeProvider.System);
        await clinician.WalkUntil(view => view.Stage == SessionStage.Testing, cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.Null((await link.Ask(new AddNote(_note), cancellation)).Refusal);
        var end = await clinician.WalkUntil(view => view.Stage == SessionStage.Closed, cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);

        // What was looked for is really there for those who may see it.
        Assert.Equal(_person, end.View.Person);
        Assert.Contains(end.View.Timeline, line => line.Text.Contains(_note, StringComparison.Ordinal));

        // While both run, with the write-ahead file as it is, and again at rest.
        Assert.Empty(Traces.Find(hub.Data, _marks));
        Assert.Empty(Traces.Find(agent.Data, _marks));
        var said = agent.Process.Text();
        await agent.Kill(cancellation);
        await hub.Kill(cancellation);
        Assert.Empty(Traces.Find(hub.Data, _marks));
        Assert.Empty(Traces.Find(agent.Data, _marks));
        Assert.Empty(Traces.In(Encoding.UTF8.GetBytes(hub.Process.Text()), _marks));
        Assert.Empty(Traces.In(Encoding.UTF8.GetBytes(said), _marks));
        Assert.Empty(TemporaryFiles(began));

        // The logs are there, with ids: they were not simply switched off.
        Assert.NotEmpty(Traces.Find(Path.Combine(hub.Data, "logs"), InventedClinic.Kit.Value));

        // Nor does an address name anyone, as a proxy on the way would log it; the kit's links and the console's were seen.
        Assert.Contains(addresses.Asked, line => line.Contains(Protocol.KitHubPath, StringComparison.Ordinal));
        Assert.Contains(addresses.Asked, line => line.Contains(Protocol.ConsoleHubPath, StringComparison.Ordinal));
        Assert.All(addresses.Asked, line => Assert.Empty(Traces.In(Encoding.UTF8.GetBytes(Uri.UnescapeDataString(line)), _marks)));
        Assert.DoesNotContain(addresses.Asked, line => line.Contains(hub.EnrolmentCode, StringComparison.Ordinal));
        SqliteConnection.ClearAllPools();
    }

    /// <summary>Files written since a time in the system's folder of temporary files that hold the mark, other than the folders of tests.</summary>
    private static IReadOnlyList<string> TemporaryFiles(DateTimeOffset since) =>
    [
        .. Directory.EnumerateFiles(Path.GetTempPath(), "*", new EnumerationOptions { IgnoreInaccessible = true, RecurseSubdirectories = true, MaxRecursionDepth = 2, AttributesToSkip = FileAttributes.ReparsePoint })
            .Where(file => !file.Contains("telehearing-test-", StringComparison.Ordinal) && File.GetLastWriteTimeUtc(file) >= since.UtcDateTime && Holds(file)),
    ];

    private static bool Holds(string file)
    {
        try
        {
            // A pipe has no length, and waits for whoever writes into it.
            return new FileInfo(file).Length is > 0 and < 64 * 1024 * 1024 && Traces.In(Traces.Read(file), Mark + "brand").Count > 0;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // Another program's, gone or not ours to read.
            return false;
        }
    }
}
