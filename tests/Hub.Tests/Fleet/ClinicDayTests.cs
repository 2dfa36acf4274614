using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>A hub in another zone than its clinic: everything has the clinic's day.</summary>
public sealed class ClinicDayTests
{
    private static readonly KitId _kitId = new("kit-01");

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public void AnEveningInHalifaxIsStillItsOwnDayWhenItIsTheNextOneInUtc()
    {
        // Daylight saving time began on 8 March 2026: 02:00 UTC on the 12th is 23:00 on the 11th there.
        var halifax = FleetState.Empty with { Terms = FleetTerms.Initial with { Zone = "America/Halifax" } };

        Assert.Equal(new DateOnly(2026, 3, 11), ClinicDay.Of(halifax, new DateTimeOffset(2026, 3, 12, 2, 0, 0, TimeSpan.Zero)).Today);
    }

    [Fact]
    public async Task KitsBoardLoansAndDecisionsHaveTheClinicsDayWhereverTheHubRuns()
    {
        // The first and the last zones of the earth are 26 hours apart, so at any time one of them has another day than the hub.
        var zone = new[] { "Etc/GMT+12", "Etc/GMT-14" }.First(name => Today(TimeZoneInfo.FindSystemTimeZoneById(name)) != Today(TimeZoneInfo.Local));
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        await using var console = await hub.Console(await hub.Person("Pella Nyström", Roles.Coordinator));
        await kit.Connect(gear: KitSamples.Gear(Today(TimeZoneInfo.Local).AddDays(-5)));
        await console.MustKit(_kitId, KitSamples.Function(passed: true));
        await Must(console, new SetTerms(FleetTerms.Initial with { Zone = zone }));
        await Must(console, new SetCalendar(FleetCalendar.Clinic, [], []));
        var today = Today(TimeZoneInfo.FindSystemTimeZoneById(zone));

        Assert.Equal(today, (await console.WatchKit(_kitId)).View!.Today);
        Assert.Equal(today, (await console.Connection.InvokeAsync<WatchFleetReply>(nameof(IConsoleHub.WatchFleet), Protocol.Version, Token)).View!.Today);
        Assert.Equal(today, (await console.Connection.InvokeAsync<KitBoardView>(nameof(IConsoleHub.WatchKitBoard), Token)).Today);
        var window = new KitTimelineQuery(today.AddDays(-7), 14, [_kitId]);
        Assert.Equal(today, (await console.Connection.InvokeAsync<KitTimelineView>(nameof(IConsoleHub.ReadKitTimeline), window, Token)).Today);

        // Taken there by hand today for a session tomorrow. The kit is asked with the same day, so it does not call the day past.
        var loan = new RequestLoan(LoanId.New(), [], [today.AddDays(1)], "Mill Lane 4", FleetCalendar.Clinic, zone, [TransducerKind.Circumaural], LoanUrgency.Urgent, new LoanSpans(0, 0, 0, 0, 1));
        await Must(console, loan);
        await Must(console, new PlaceLoan(loan.LoanId, _kitId));
        Assert.Equal(today, Assert.Single((await hub.Get<KitFactStore>().Load(_kitId, Token))!.State.Loans).From);
        Assert.Contains((await console.Connection.InvokeAsync<KitBoardView>(nameof(IConsoleHub.WatchKitBoard), Token)).Rows[0].Tasks!, task => task.By == today);
    }

    private static DateOnly Today(TimeZoneInfo zone) => DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(TimeProvider.System.GetUtcNow(), zone).DateTime);

    private static async Task Must(TestConsole console, FleetCommand command) => Assert.Null((await console.Connection.InvokeAsync<Receipt>(
        nameof(IConsoleHub.AskFleet),
        new FleetCommandEnvelope(Protocol.Version, CommandId.New(), TimeProvider.System.GetUtcNow().AddMinutes(5), command),
        Token)).Refusal?.Sentence);
}
