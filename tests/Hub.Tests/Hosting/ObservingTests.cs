using System.Diagnostics;
using System.Diagnostics.Metrics;
using System.Net;
using TeleHearing.Contracts;
using TeleHearing.Hub.Observing;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Hosting;

/// <summary>How a hub is seen from outside: ready or not, measured, and on the owner's page.</summary>
public sealed class ObservingTests
{
    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public async Task AHubIsReadyAsLongAsItsStoreAnswers()
    {
        await using var hub = await RunningHub.Start();
        using var client = new HttpClient { BaseAddress = hub.Address };
        Assert.Equal("ready", await client.GetStringAsync("/health/ready", Token));

        await using (var context = await hub.Get<Microsoft.EntityFrameworkCore.IDbContextFactory<HubContext>>().CreateDbContextAsync(Token))
        {
            context.SchemaVersions.RemoveRange(context.SchemaVersions);
            await context.SaveChangesAsync(Token);
        }

        using var answer = await client.GetAsync("/health/ready", Token);
        Assert.Equal(HttpStatusCode.ServiceUnavailable, answer.StatusCode);
        Assert.Equal("ok", await client.GetStringAsync("/health", Token));
    }

    [Fact]
    public async Task TheOwnerSeesHowTheHubIsAndNobodyElseDoes()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);
        await using var console = await hub.Console(maren);
        await console.Watch(session);
        await kit.Connect();
        await console.Must(new TakeControl());
        using var owner = Browser(hub, await hub.SignIn(await hub.Person("Edda Lund", Roles.Owner)));
        using var clinician = Browser(hub, await hub.SignIn(maren));

        var page = await owner.GetStringAsync("/status", Token);
        Assert.Contains("Everything answers.", page, StringComparison.Ordinal);
        Assert.Contains("Sessions under way: 1", page, StringComparison.Ordinal);
        Assert.Contains("Kits linked: 1; sound may be on at 0", page, StringComparison.Ordinal);
        Assert.Contains("Consoles connected: 1", page, StringComparison.Ordinal);
        Assert.Contains("durable and answered within", page, StringComparison.Ordinal);
        Assert.DoesNotContain("Maren Toft", page, StringComparison.Ordinal);
        Assert.StartsWith("<p class=\"answer\">", await owner.GetStringAsync("/status/now", Token), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Forbidden, (await clinician.GetAsync("/status", Token)).StatusCode);
    }

    [Fact]
    public async Task WhatIsMeasuredNamesRequestsAndNoOne()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);
        var (requests, spans) = (new List<string>(), new List<Activity>());
        using var meters = new MeterListener { InstrumentPublished = (instrument, listener) => listener.EnableMeasurementEvents(instrument, instrument.Meter.Name == HubTelemetry.Name ? instrument : null) };
        meters.SetMeasurementEventCallback<double>((instrument, value, tags, state) =>
        {
            if (state is not null && instrument.Name == "telehearing.request.duration")
            {
                lock (requests)
                {
                    requests.AddRange([.. tags.ToArray().Select(tag => $"{tag.Key}={tag.Value}")]);
                }
            }
        });
        meters.Start();
        using var traces = new ActivityListener
        {
            ShouldListenTo = source => source.Name == HubTelemetry.Name,
            Sample = (ref ActivityCreationOptions<ActivityContext> _) => ActivitySamplingResult.AllDataAndRecorded,
            ActivityStopped = activity =>
            {
                lock (spans)
                {
                    spans.Add(activity);
                }
            },
        };
        ActivitySource.AddActivityListener(traces);
        await using var console = await hub.Console(maren);
        await console.Watch(session);

        lock (requests)
        {
            Assert.Contains("request=WatchSessionQuery", requests);
            Assert.All(requests, tag => Assert.True(tag.StartsWith("request=", StringComparison.Ordinal) || tag is "outcome=answered" or "outcome=fault", tag));
        }

        lock (spans)
        {
            Assert.Contains(spans, span => span.OperationName == "WatchSessionQuery");
            Assert.All(spans, span => Assert.Empty(span.TagObjects));
        }
    }

    private static HttpClient Browser(RunningHub hub, CookieContainer cookies) => new(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false }) { BaseAddress = hub.Address };
}
