using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Tests.Data;

/// <summary>What kits' and the fleet's logs hold about a person is handed out, and counted when the person is erased.</summary>
public sealed class OtherLogsTests : IAsyncLifetime
{
    private static readonly DateOnly _day = new(2026, 3, 2);
    private readonly LoanId _loan = new(new Guid("0196f3a0-0000-7000-8000-000000000101"));
    private readonly LoanId _otherLoan = new(new Guid("0196f3a0-0000-7000-8000-000000000102"));
    private DataFolder _folder = null!;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        _folder = await DataFolder.Make();
        await using var hub = _folder.Build();
        await _folder.Plan(hub, "P-010", "Somebody Else");
        var kit = (await hub.Services.GetRequiredService<KitFacts>().Load(new KitId("kit-01"), Token))!;
        var fleet = await hub.Services.GetRequiredService<FleetFacts>().Verify(Token);
        await Add(hub, new AppendBatch([], null, null, _ => { })
        {
            KitFacts =
            [
                new KitFactAppend(kit,
                [
                    new BaselineRecorded("P-0107", [new KnownEarLevel(Ear.Left, 1000, 12)], DataFolder.By),
                    new BaselineRecorded("P-01070", [new KnownEarLevel(Ear.Left, 1000, 34)], DataFolder.By),
                    new KitReserved(_loan, _day, _day, _day, "Birch Row 4", DataFolder.By),
                    new KitReserved(_otherLoan, _day, _day, _day, "Elm Road 7", DataFolder.By),
                    new LoanBegun(_day, _day, "Birch Row 4", DataFolder.By),
                    new KitMoved("at home", null, DataFolder.By),
                    new KitTakenIntoUse(_folder.First, DataFolder.By),
                ]),
            ],
            FleetFacts = new FleetFactAppend(fleet, [new LoanRequested(Loan(_loan, _folder.First, "Birch Row 4"), DataFolder.By), new LoanRequested(Loan(_otherLoan, _folder.Second, "Elm Road 7"), DataFolder.By)]),
        });
    }

    public ValueTask DisposeAsync()
    {
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }

    [Fact]
    public async Task AnExportHoldsThresholdsUnderTheirCodeAndLoansForTheirSessions()
    {
        var export = _folder.Inside("export");
        var (code, _, error) = await _folder.Export("P-0107", export);

        Assert.True(code == ExitCodes.Done, error);
        using var found = JsonDocument.Parse(await File.ReadAllTextAsync(Path.Combine(export, "kits-and-loans.json"), Token));
        Assert.Equal(
            [("kit kit-01", 1), ("kit kit-01", 3), ("kit kit-01", 5), ("kit kit-01", 7), ("fleet", 1)],
            found.RootElement.EnumerateArray().Select(entry => (entry.GetProperty("log").GetString()!, entry.GetProperty("sequence").GetInt32())));
        var page = await File.ReadAllTextAsync(Path.Combine(export, "index.html"), Token);
        Assert.Contains("Birch Row 4", page, StringComparison.Ordinal);
        Assert.DoesNotContain("Elm Road 7", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AnErasureCountsTheSame()
    {
        var (_, output, error) = await _folder.Erase("P-0107", 10);

        Assert.True(output.Contains("4 facts of kits and 1 of the fleet", StringComparison.Ordinal), output + error);
    }

    private static RequestLoan Loan(LoanId loan, SessionId session, string place) => new(loan, [session], [_day], place, "north", "Europe/Oslo", [], LoanUrgency.Ordinary, null);

    private static async Task Add(WebApplication hub, AppendBatch batch) => Assert.Equal(AppendOutcome.Appended, await hub.Services.GetRequiredService<SessionStore>().Append(batch, Token));
}
