using System.Reflection;
using System.Text.Json.Serialization;
using MediatR;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Routing;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Rights;

/// <summary>Every way into the hub stands in the rights table, and the table lists no way that is not there. The ways are found by reflection, not by hand.</summary>
public sealed class RightsTableTests
{
    [Fact]
    public async Task EveryAddressStandsInARowOrIsAFile()
    {
        await using var hub = await RunningHub.Start();

        var endpoints = AllDoors.Endpoints(hub);

        Assert.True(endpoints.Count >= 20);
        Assert.All(endpoints, endpoint =>
        {
            Assert.Null(endpoint.Metadata.GetMetadata<IAllowAnonymous>());
            Assert.Empty(endpoint.Metadata.GetOrderedMetadata<IAuthorizeData>());
            Assert.DoesNotContain(Door.Http(endpoint), door => RightsTable.Row(door) is null);
        });
    }

    [Fact]
    public void EveryMethodOfEveryHubStandsInARow() => Assert.All(AllDoors.Methods, door => Assert.NotNull(RightsTable.Row(door)));

    [Fact]
    public void EveryRequestStandsInARow() => Assert.All(AllDoors.Requests, door => Assert.NotNull(RightsTable.Row(door)));

    [Fact]
    public void EveryCommandStandsInARow() => Assert.All(AllDoors.Commands, door => Assert.NotNull(RightsTable.Row(door)));

    [Fact]
    public async Task TheTableListsNothingThatIsNotThere()
    {
        await using var hub = await RunningHub.Start();
        var there = AllDoors.Endpoints(hub).SelectMany(Door.Http)
            .Concat(AllDoors.Methods)
            .Concat(AllDoors.Requests)
            .Concat(AllDoors.Commands)
            .Concat(AllDoors.Narrowed)
            .Append(Door.Files);

        Assert.Empty(RightsTable.Doors.Except(there));
    }

    [Fact]
    public void WhatStandsInNoRowIsRefusedToEveryone()
    {
        Assert.All(Everyone.Callers, caller => Assert.Equal(RefusalCodes.RoleNotAllowed, RightsTable.Refusal(caller, "request NobodyListsThis")!.Code));
        Assert.False(RightsTable.Allows(Parties.Owner | Parties.Clinician | Parties.Coordinator | Parties.Assistant | Parties.Kit | Parties.Anyone, "GET /nowhere"));
    }

    [Fact]
    public void WhoeverShowsACookieAndAKeyIsNeither()
    {
        var both = new System.Security.Claims.ClaimsPrincipal(new System.Security.Claims.ClaimsIdentity(
            [new(TeleHearing.Hub.Kits.KitKeyHandler.KitClaim, "kit-01"), new(System.Security.Claims.ClaimTypes.Role, Roles.Owner)], "test"));

        Assert.Equal(Parties.Anyone, PartiesOf.Principal(both));
    }
}

/// <summary>The ways into the hub as they are in the program.</summary>
internal static class AllDoors
{
    private static readonly Assembly _hub = typeof(HubHost).Assembly;

    public static IReadOnlyList<Type> Hubs { get; } = [.. _hub.GetTypes().Where(type => typeof(Microsoft.AspNetCore.SignalR.Hub).IsAssignableFrom(type) && !type.IsAbstract)];

    /// <summary>Public methods of a hub that a client can name: not those of its base classes.</summary>
    public static IReadOnlyList<MethodInfo> MethodsOf(Type hub) => [.. hub.GetMethods(BindingFlags.Public | BindingFlags.Instance | BindingFlags.DeclaredOnly).Where(method => method.GetBaseDefinition().DeclaringType == hub)];

    public static IReadOnlyList<string> Methods { get; } = [.. Hubs.SelectMany(hub => MethodsOf(hub).Select(method => Door.Method(hub, method.Name)))];

    public static IReadOnlyList<Type> RequestTypes { get; } = [.. _hub.GetTypes().Where(type => !type.IsAbstract && typeof(IBaseRequest).IsAssignableFrom(type))];

    public static IReadOnlyList<string> Requests { get; } = [.. RequestTypes.Select(Door.Request)];

    public static IReadOnlyList<Type> CommandTypes { get; } = [.. new[] { typeof(SessionCommand), typeof(KitCommand), typeof(FleetCommand), typeof(DataAsk) }
        .SelectMany(type => type.GetCustomAttributes<JsonDerivedTypeAttribute>())
        .Select(attribute => attribute.DerivedType)];

    public static IReadOnlyList<string> Commands { get; } = [.. CommandTypes.Select(type => Door.Command(type))];

    /// <summary>Commands that ask for more when they carry something.</summary>
    public static IReadOnlyList<string> Narrowed { get; } =
    [
        Door.Command<RecordBaseline>(KitDoors.FromSession),
        Door.Command<RecordKnownEar>(KitDoors.FromSession),
        Door.Command<RequestLoan>(FleetDoors.ForSessions),
        Door.Command<KeepRegistration>(FleetDoors.OfOneself),
        Door.Command<EndRegistration>(FleetDoors.OfOneself),
    ];

    public static IReadOnlyList<RouteEndpoint> Endpoints(RunningHub hub) => [.. hub.Get<IEnumerable<EndpointDataSource>>().SelectMany(source => source.Endpoints).OfType<RouteEndpoint>()];
}
