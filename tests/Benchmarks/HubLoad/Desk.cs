using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>A console in control of a session and the kit of that session, both linked to a hub as they are in life: signed in, enrolled, with every proof and signature.</summary>
internal sealed class Desk : IAsyncDisposable
{
    private static readonly OrderStep _tone = new(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 1000), LoudConfirmed: false);

    /// <summary>Longest that a kit may take to hear something (design): beyond it something went wrong, which is said instead of waited for.</summary>
    private static readonly TimeSpan _longest = TimeSpan.FromSeconds(10);

    private readonly TestConsole _console;
    private readonly TestKit _kit;
    private TaskCompletionSource<long> _ordered = NewSignal();
    private TaskCompletionSource<long> _cut = NewSignal();

    private Desk(TestConsole console, TestKit kit, SessionId session) => (_console, _kit, Session) = (console, kit, session);

    public SessionId Session { get; }

    public HubConnection Console => _console.Connection;

    public HubConnection Kit => _kit.Connection!;

    /// <summary>Whether both are still linked.</summary>
    public bool Stands => Console.State == HubConnectionState.Connected && Kit.State == HubConnectionState.Connected;

    /// <summary>The envelope of an order as JSON, for the baseline to pass on.</summary>
    public string Text => JsonSerializer.Serialize(Envelope(_tone), Protocol.Json);

    /// <summary>Signs in, enrols, links both and takes control.</summary>
    public static async Task<Desk> Open(Uri hub, Seat seat)
    {
        var cookies = new CookieContainer();
        using var browser = new HttpClient(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false }) { BaseAddress = hub };
        using var answer = await browser.Send(seat.Link);
        var console = await TestConsole.Connect(new HubConnectionBuilder()
            .WithUrl(new Uri(hub, Protocol.ConsoleHubPath), options =>
            {
                options.Cookies = cookies;
                options.Transports = HttpTransportType.WebSockets;
                options.SkipNegotiation = true;
            })
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions))
            .Build());
        var kit = new TestKit(new KitId(seat.Kit), hub);
        using var enrolled = await browser.PostAsJsonAsync(Protocol.EnrolPath, new EnrolRequest(seat.Code, kit.PublicKeyPem, Protocol.Version), Protocol.Json);
        kit.Trust((await enrolled.Content.ReadFromJsonAsync<EnrolReply>(Protocol.Json))!.HubKeyPem!);
        await console.Watch(seat.Session);
        await kit.Connect();
        await console.Must(new TakeControl());
        return new Desk(console, kit, seat.Session);
    }

    /// <summary>Goes through all gates to testing. From then on pictures are taken from the wire and not looked at: what a console does with them is not the hub's work.</summary>
    public async Task Walk()
    {
        await Hub.Tests.Support.Walk.ToTesting(_console, _kit);
        await _console.Watch(Session);
        Console.Remove(nameof(IConsoleClient.SessionChanged));
        Console.On<JsonElement>(nameof(IConsoleClient.SessionChanged), _ => { });
        Kit.Remove(nameof(IKitClient.Carry));
        Kit.Remove(nameof(IKitClient.Cut));
        Kit.On<SignedOrder>(nameof(IKitClient.Carry), _ => _ordered.TrySetResult(TimeProvider.System.GetTimestamp()));
        Kit.On<StepId>(nameof(IKitClient.Cut), _ => _cut.TrySetResult(TimeProvider.System.GetTimestamp()));
    }

    /// <summary>Orders a tone.</summary>
    /// <returns>Until the console had its receipt and the kit the order, ms; and the step.</returns>
    public async Task<(double Milliseconds, StepId Step)> Order()
    {
        _ordered = NewSignal();
        var began = TimeProvider.System.GetTimestamp();
        var receipt = await Ask(_tone);
        var answered = TimeProvider.System.GetTimestamp();
        var ended = Math.Max(answered, await _ordered.Task.WaitAsync(_longest));
        return (TimeProvider.System.GetElapsedTime(began, ended).TotalMilliseconds, receipt.StepId!.Value);
    }

    /// <summary>Cuts the step.</summary>
    /// <returns>Until the kit was told, ms.</returns>
    public async Task<double> Cut(StepId step)
    {
        _cut = NewSignal();
        var began = TimeProvider.System.GetTimestamp();
        var receipt = Ask(new CutStep(step));
        await Task.WhenAny(_cut.Task, receipt);
        await receipt;
        var told = await _cut.Task.WaitAsync(_longest);
        return TimeProvider.System.GetElapsedTime(began, told).TotalMilliseconds;
    }

    /// <summary>Reports that the step is over, and waits until that is held.</summary>
    public async Task Report(StepId step, StepEnding ending = StepEnding.Completed)
    {
        var ack = await _kit.Report(Session, new StepStarted(step), new StepEnded(step, ending, null, null, null));
        if (ack.Refusal is { } refusal)
        {
            throw new InvalidOperationException($"A report was refused: {refusal.Sentence}");
        }
    }

    /// <summary>Ends the session, so that nothing of it goes on beside what is measured next.</summary>
    public Task End() => Ask(new Abort("measured"));

    public CommandEnvelope Envelope(SessionCommand command) =>
        new(Protocol.Version, CommandId.New(), Session, _console.View!.Control.Epoch, _console.View.Version, TimeProvider.System.GetUtcNow().AddSeconds(5), command);

    public async Task<Receipt> Ask(SessionCommand command)
    {
        var receipt = await Console.InvokeAsync<Receipt>(nameof(IConsoleHub.Ask), Envelope(command));
        return receipt.Refusal is null ? receipt : throw new InvalidOperationException($"A command was refused: {receipt.Refusal.Sentence}");
    }

    public async ValueTask DisposeAsync()
    {
        await _console.DisposeAsync();
        await _kit.DisposeAsync();
    }

    private static TaskCompletionSource<long> NewSignal() => new(TaskCreationOptions.RunContinuationsAsynchronously);
}
