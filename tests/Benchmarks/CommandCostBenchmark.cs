using System.Globalization;
using System.Security.Claims;
using System.Security.Cryptography;
using System.Text.Json;
using MediatR;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Options;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks;

/// <summary>One command (a note in a session, durable when answered) with authentication, the check of a signature by a P-256 key, the rights table, the audit and sealing, beside the same command with none of them: by turns, in one run.</summary>
/// <remarks>
/// Authentication is what a request costs: opening the cookie. A live connection pays it once, so this says more than a console's command really pays.
/// No command waits for its entry in the audit, so commands are timed in batches that end when an entry written after them is durable; both kinds pay for that one.
/// </remarks>
internal static class CommandCostBenchmark
{
    private const int Batches = 40;
    private const int WarmUp = 5;
    private const int Commands = 20;

    public static async Task Run(CancellationToken cancellationToken)
    {
        using var folders = new TempFolder();
        await using var guarded = await Desk.Open(folders.Inside("guarded"), sealing: true, cancellationToken);
        await using var bare = await Desk.Open(folders.Inside("bare"), sealing: false, cancellationToken);
        var (with, without) = (new List<double>(), new List<double>());
        for (var round = -WarmUp; round < Batches; round++)
        {
            var began = TimeProvider.System.GetTimestamp();
            await guarded.Batch(guarded.Guarded, cancellationToken);
            var between = TimeProvider.System.GetTimestamp();
            await bare.Batch(bare.Bare, cancellationToken);
            var ended = TimeProvider.System.GetTimestamp();
            if (round >= 0)
            {
                with.Add(TimeProvider.System.GetElapsedTime(began, between).TotalMilliseconds / Commands);
                without.Add(TimeProvider.System.GetElapsedTime(between, ended).TotalMilliseconds / Commands);
            }
        }

        var (full, base0) = (new Spread(with), new Spread(without));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{Batches} batches of {Commands} commands each, by turns; times a command"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"without any of it                           p50 {base0.P50,7:0.000} ms   p99 {base0.P99,7:0.000} ms"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"authenticated, signed, audited and sealed   p50 {full.P50,7:0.000} ms   p99 {full.P99,7:0.000} ms   {full.P50 / base0.P50:0.00} times"));
    }

    /// <summary>Seals that leave everything open.</summary>
    private sealed class OpenSeals(DataKeys keys) : Seals(keys)
    {
        internal override string Close(string scope, string place, string text) => text;

        internal override string? Open(string scope, string place, string? stored) => stored;
    }

    /// <summary>A hub with a session that somebody is in control of.</summary>
    private sealed class Desk : IAsyncDisposable
    {
        private readonly ECDsa _key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        private readonly WebApplication _hub;
        private readonly SessionId _session;
        private readonly PersonCaller _caller;
        private readonly ISecureDataFormat<AuthenticationTicket> _tickets;
        private readonly string _cookie;
        private int _notes;
        private long _version = 1;

        private Desk(WebApplication hub, SessionId session, PersonCaller caller, ISecureDataFormat<AuthenticationTicket> tickets, string cookie) =>
            (_hub, _session, _caller, _tickets, _cookie) = (hub, session, caller, tickets, cookie);

        public static async Task<Desk> Open(string folder, bool sealing, CancellationToken cancellationToken)
        {
            var hub = HubHost.Build(new HubSettings { DataFolder = folder, Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false }, services =>
            {
                if (!sealing)
                {
                    services.AddSingleton<Seals>(provider => new OpenSeals(provider.GetRequiredService<DataKeys>()));
                }
            });
            var person = await hub.Services.GetRequiredService<PeopleAdmin>().Enter("Maren Toft", [Roles.Clinician], cancellationToken);
            await hub.Services.GetRequiredService<KitFleet>().Enter(new KitId("kit-01"), "loan kit", "shelf", cancellationToken);
            var session = await hub.Services.GetRequiredService<SessionSchedule>().Plan(new SessionPlan(new PersonTested("P-1", "Oda Brekkestad", new DateOnly(1951, 3, 14), "first test"), "at home", TimeProvider.System.GetUtcNow(), new KitId("kit-01"), person), cancellationToken);
            await using var scope = hub.Services.CreateAsyncScope();
            var users = scope.ServiceProvider.GetRequiredService<UserManager<HubPerson>>();
            var principal = await scope.ServiceProvider.GetRequiredService<IUserClaimsPrincipalFactory<HubPerson>>().CreateAsync((await users.FindByIdAsync(person))!);
            var signIn = await hub.Services.GetRequiredService<SignIns>().Begin(person, proven: true);
            principal.Identities.First().AddClaim(new Claim(SignInCookie.SignInClaim, signIn));
            var tickets = scope.ServiceProvider.GetRequiredService<IOptionsMonitor<CookieAuthenticationOptions>>().Get(IdentityConstants.ApplicationScheme).TicketDataFormat;
            var desk = new Desk(hub, session, PersonCaller.From(principal), tickets, tickets.Protect(new AuthenticationTicket(principal, IdentityConstants.ApplicationScheme)));
            await desk.Bare(new TakeControl(), 0, cancellationToken);
            return desk;
        }

        /// <summary>Commands, and then an entry of the audit that is durable after all of theirs.</summary>
        public async Task Batch(Func<CancellationToken, Task> command, CancellationToken cancellationToken)
        {
            for (var sent = 0; sent < Commands; sent++)
            {
                await command(cancellationToken);
            }

            await _hub.Services.GetRequiredService<AuditLog>().Write(new AuditEntry("end of a batch", _caller.Id, null, [], null));
        }

        public async Task Guarded(CancellationToken cancellationToken)
        {
            var ask = Ask(Note(), 1);
            var said = JsonSerializer.SerializeToUtf8Bytes(ask.Envelope, Protocol.Json);
            var signature = _key.SignData(said, HashAlgorithmName.SHA256);
            var caller = PersonCaller.From(_tickets.Unprotect(_cookie)!.Principal);
            if (!_key.VerifyData(said, signature, HashAlgorithmName.SHA256))
            {
                throw new InvalidOperationException("The signature does not hold.");
            }

            await using var scope = _hub.Services.CreateAsyncScope();
            Check(await scope.ServiceProvider.GetRequiredService<IMediator>().Send(new AskCommand(ask.Envelope, caller), cancellationToken));
        }

        public Task Bare(CancellationToken cancellationToken) => Bare(Note(), 1, cancellationToken);

        private async Task Bare(SessionCommand command, int epoch, CancellationToken cancellationToken)
        {
            await using var scope = _hub.Services.CreateAsyncScope();
            var receipt = await scope.ServiceProvider.GetRequiredService<IRequestHandler<AskCommand, Receipt>>().Handle(Ask(command, epoch), cancellationToken);
            Check(receipt);
            _version = receipt.SessionVersion;
        }

        public async ValueTask DisposeAsync()
        {
            _key.Dispose();
            await _hub.DisposeAsync();
        }

        private AddNote Note() => new(string.Create(CultureInfo.InvariantCulture, $"note {++_notes}"));

        private AskCommand Ask(SessionCommand command, int epoch) => new(
            new CommandEnvelope(Protocol.Version, CommandId.New(), _session, epoch, _version, TimeProvider.System.GetUtcNow().AddSeconds(4), command),
            _caller);

        private static void Check(Receipt receipt)
        {
            if (receipt.Refusal is { } refusal)
            {
                throw new InvalidOperationException($"A command was refused: {refusal.Sentence}");
            }
        }
    }
}
