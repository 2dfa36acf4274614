using System.Net;
using System.Reflection;
using System.Runtime.CompilerServices;
using System.Text.Json;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Rights;

/// <summary>Walks every address and every method of the hub as everyone, over real connections: what the table does not allow is refused, what it allows is not.</summary>
public sealed partial class RightsOverTheWireTests : IAsyncLifetime
{
    private readonly List<(string Name, Parties Party, CookieContainer? Cookies)> _people = [("nobody", Parties.None, null)];
    private RunningHub _hub = null!;
    private TestKit _kit = null!;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        _kit = await _hub.Kit();
        foreach (var (role, party) in Everyone.People)
        {
            _people.Add((role, party, await _hub.SignIn(await _hub.Person("Somebody", role))));
        }
    }

    public async ValueTask DisposeAsync()
    {
        await _kit.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task EveryAddressAnswersWhomTheTableListsAndNobodyElse()
    {
        var wrong = new List<string>();
        var asked = 0;
        foreach (var door in AllDoors.Endpoints(_hub).SelectMany(Door.Http).Distinct())
        {
            foreach (var (name, party, cookies) in _people)
            {
                using var client = new HttpClient(new HttpClientHandler { CookieContainer = cookies ?? new CookieContainer(), AllowAutoRedirect = false }) { BaseAddress = _hub.Address };
                await Look(client, name, party);
            }

            using var asKit = _kit.Http();
            await Look(asKit, "kit", Parties.Kit);

            async Task Look(HttpClient client, string name, Parties party)
            {
                // Signing out would end the sign-in the other doors are tried with: whether it is let through is seen without a body it could act on.
                asked++;
                var may = RightsTable.Allows(party | Parties.Anyone, door);
                if (door == Door.Http("POST", "/sign-out") && may)
                {
                    return;
                }

                var status = (await client.SendAsync(Request(door), HttpCompletionOption.ResponseHeadersRead, TestContext.Current.CancellationToken)).StatusCode;
                var refused = status is HttpStatusCode.Unauthorized or HttpStatusCode.Forbidden;
                var expected = party == Parties.None ? HttpStatusCode.Unauthorized : HttpStatusCode.Forbidden;
                if (may ? refused : status != expected)
                {
                    wrong.Add($"{name} at {door}: {(int)status}");
                }
            }
        }

        Assert.Empty(wrong);
        Assert.True(asked >= 100);
    }

    [Theory]
    [InlineData(Roles.Owner)]
    [InlineData(Roles.Clinician)]
    [InlineData(Roles.Coordinator)]
    [InlineData(Roles.Assistant)]
    public async Task EveryMethodOfTheConsolesHubAnswersWhomTheTableLists(string role)
    {
        var party = Everyone.People.Single(person => person.Role == role).Party;
        await using var connection = new HubConnectionBuilder()
            .WithUrl(new Uri(_hub.Address, Protocol.ConsoleHubPath), options => options.Cookies = _people.Single(person => person.Name == role).Cookies!)
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions))
            .Build();
        await connection.StartAsync(TestContext.Current.CancellationToken);

        foreach (var method in AllDoors.MethodsOf(typeof(ConsoleHub)))
        {
            var door = Door.Method<ConsoleHub>(method.Name);
            var answer = await Call(connection, method);
            Assert.True(answer.Refused == !RightsTable.Allows(party, door), $"{role} at {door}: {answer.Said}");
        }
    }

    [Fact]
    public async Task EveryPersonsConsoleIsConnectedAndAKitsHubTakesNoPerson()
    {
        foreach (var (name, party, cookies) in _people.Skip(1))
        {
            foreach (var path in new[] { Protocol.ConsoleHubPath, Protocol.KitHubPath })
            {
                await using var connection = new HubConnectionBuilder().WithUrl(new Uri(_hub.Address, path), options => options.Cookies = cookies!).Build();
                var fault = await Record.ExceptionAsync(() => connection.StartAsync(TestContext.Current.CancellationToken));
                Assert.True(fault is null == RightsTable.Allows(party, Door.Http("*", path)), $"{name} at {path}: {fault?.Message}");
            }
        }
    }

    [Fact]
    public void EveryCommandIsRefusedByThePipelineToWhomTheTableDoesNotList()
    {
        foreach (var caller in Everyone.Callers)
        {
            var party = PartiesOf.Caller(caller);
            foreach (var command in AllDoors.CommandTypes)
            {
                var door = RuntimeHelpers.GetUninitializedObject(command) switch
                {
                    SessionCommand session => Of<Receipt>(new AskCommand(new CommandEnvelope(Protocol.Version, CommandId.New(), SessionId.New(), 0, 0, default, session), caller)),
                    KitCommand kit => Of<Receipt>(new TeleHearing.Hub.Kits.Facts.AskKitCommand(new KitCommandEnvelope(Protocol.Version, CommandId.New(), new KitId("kit-01"), default, kit), caller)),
                    FleetCommand fleet => Of<Receipt>(new TeleHearing.Hub.Fleet.AskFleetCommand(new FleetCommandEnvelope(Protocol.Version, CommandId.New(), default, fleet), caller)),
                    DataAsk ask => Of<DataReply>(new TeleHearing.Hub.Data.AskData(new DataEnvelope(Protocol.Version, ask), caller)),
                    var other => throw new InvalidOperationException($"{other.GetType().Name} is no command."),
                };
                Assert.Equal(!RightsTable.Allows(party, Door.Command(command)), RightsTable.Refusal(caller, door) is not null);
            }
        }
    }

    [Fact]
    public async Task TheConsoleRefusesCommandsByTheirOwnRows()
    {
        await using var console = await _hub.Console(await _hub.Person("Somebody", Roles.Clinician));

        // Care of kits is a clinician's, taking one out of service is not: the same method, two rows.
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await console.SendKit(TestConsole.KitEnvelope(_kit.KitId, new RetireKit("broken")))).Refusal?.Code);
        Assert.NotEqual(RefusalCodes.RoleNotAllowed, (await console.SendKit(TestConsole.KitEnvelope(_kit.KitId, new PlaceHold(KitHoldKind.SafetyNotice, "a notice")))).Refusal?.Code);
    }

    private static string Of<TResponse>(IHubRequest<TResponse> request) => request.Door;

    /// <summary>Calls a method with nothing in its arguments. Whether it may be asked at all is decided before anybody looks at them.</summary>
    private static async Task<(bool Refused, string Said)> Call(HubConnection connection, MethodInfo method)
    {
        var arguments = method.GetParameters()
            .Where(parameter => parameter.ParameterType != typeof(CancellationToken))
            .Select(parameter => parameter.ParameterType.IsValueType || parameter.ParameterType == typeof(string) ? Simple(parameter.ParameterType) : Empty(parameter.ParameterType))
            .ToArray();
        try
        {
            if (method.ReturnType.IsGenericType && method.ReturnType.GetGenericTypeDefinition() == typeof(IAsyncEnumerable<>))
            {
                await foreach (var item in connection.StreamAsyncCore<JsonElement>(method.Name, arguments, TestContext.Current.CancellationToken))
                {
                    return Judged(item);
                }

                return (false, "an empty stream");
            }

            return method.ReturnType == typeof(Task)
                ? await Silent(connection, method.Name, arguments)
                : Judged(await connection.InvokeCoreAsync<JsonElement>(method.Name, arguments, TestContext.Current.CancellationToken));
        }
        catch (HubException fault)
        {
            return (fault.Message.Contains("Your role does not allow this.", StringComparison.Ordinal), fault.Message);
        }
    }

    private static async Task<(bool Refused, string Said)> Silent(HubConnection connection, string name, object?[] arguments)
    {
        await connection.InvokeCoreAsync(name, arguments, TestContext.Current.CancellationToken);
        return (false, "done");
    }

    private static (bool Refused, string Said) Judged(JsonElement answer)
    {
        var refused = answer.ValueKind == JsonValueKind.Object
            && answer.TryGetProperty("refusal", out var refusal)
            && refusal.ValueKind == JsonValueKind.Object
            && refusal.GetProperty("code").GetString() == RefusalCodes.RoleNotAllowed;
        return (refused, answer.ToString());
    }

    private static object? Simple(Type type) => type == typeof(string) ? string.Empty : Activator.CreateInstance(type);

    private static object Empty(Type type) => RuntimeHelpers.GetUninitializedObject(type);

    private static HttpRequestMessage Request(string door)
    {
        var (method, route) = (door[..door.IndexOf(' ')], door[(door.IndexOf(' ') + 1)..]);
        var address = Placeholder().Replace(route, found => found.Value.Contains(":guid", StringComparison.Ordinal) ? "0196f3a0-0000-7000-8000-000000000000" : "no-such-kit");

        // Said to be JSON, so that the address is the one meant, and unreadable, so that nothing is done.
        return new HttpRequestMessage(method == "*" ? HttpMethod.Get : new HttpMethod(method), address)
        {
            Content = method == "POST" ? new StringContent("-", System.Text.Encoding.UTF8, "application/json") : null,
        };
    }

    [GeneratedRegex(@"\{[^}]+\}")]
    private static partial Regex Placeholder();
}
