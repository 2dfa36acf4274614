using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Protocols;

/// <summary>The clinic's protocols over real sockets: kept version by version, never changed.</summary>
public sealed class ProtocolShelfTests
{
    private static readonly TestProtocol _own = ShippedProtocols.Standard with { Id = "hill-clinic", Name = "Hill clinic" };

    [Fact]
    public async Task AClinicsProtocolIsKeptVersionByVersionAndOutlivesARestart()
    {
        using var folder = new TempFolder();
        string clinician;
        await using (var hub = await RunningHub.Start(folder))
        {
            clinician = await hub.Person("Maren Toft", Roles.Clinician);
            await using var console = await hub.Console(clinician);
            Assert.Equal(ShippedProtocols.All.Select(protocol => protocol.Id), (await Read(console)).Entries.Select(entry => entry.Protocol.Id));

            Assert.Equal(_own, (await HandIn(console, _own)).Kept);
            Assert.Contains("must be version 2", (await HandIn(console, _own)).Refusal!.Sentence, StringComparison.Ordinal);
            Assert.NotNull((await HandIn(console, _own with { Version = 2, CatchRate = 0.25 })).Kept);
        }

        await using (var hub = await RunningHub.Start(folder))
        {
            await using var console = await hub.Console(clinician);
            var entry = Assert.Single((await Read(console)).Entries, entry => !entry.Shipped);
            Assert.Equal(_own with { Version = 2, CatchRate = 0.25 }, entry.Protocol);
            Assert.Equal("Maren Toft", entry.KeptBy);
        }
    }

    [Fact]
    public async Task WhatContradictsItselfIsNamedByLineAndNotKept()
    {
        await using var hub = await RunningHub.Start();
        await using var console = await hub.Console(await hub.Person("Maren Toft", Roles.Clinician));
        var text = ProtocolFile.Write(_own).Replace("2000", "2001", StringComparison.Ordinal);

        var reply = await HandIn(console, text);

        Assert.Null(reply.Kept);
        Assert.NotEmpty(reply.Faults);
        Assert.All(reply.Faults, fault => Assert.True(fault.Line > 1));
        Assert.DoesNotContain((await Read(console)).Entries, entry => !entry.Shipped);
    }

    [Fact]
    public async Task LookingKeepsNothingAndAShippedOneStaysAsItIs()
    {
        await using var hub = await RunningHub.Start();
        await using var console = await hub.Console(await hub.Person("Maren Toft", Roles.Clinician));

        var looked = await HandIn(console, ProtocolFile.Write(_own), keep: false);
        Assert.Null(looked.Kept);
        Assert.Empty(looked.Faults);
        Assert.Null(looked.Refusal);
        Assert.Contains("comes with the tool", (await HandIn(console, ShippedProtocols.Standard with { Version = 2 })).Refusal!.Sentence, StringComparison.Ordinal);
        Assert.DoesNotContain((await Read(console)).Entries, entry => !entry.Shipped);
    }

    [Fact]
    public async Task ACoordinatorNeitherReadsNorKeeps()
    {
        await using var hub = await RunningHub.Start();
        await using var console = await hub.Console(await hub.Person("Pella Nyström", Roles.Coordinator));

        Assert.Equal(RefusalCodes.RoleNotAllowed, (await Read(console)).Refusal!.Code);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await HandIn(console, _own)).Refusal!.Code);
    }

    private static Task<ProtocolsReply> Read(TestConsole console) => console.Connection.InvokeAsync<ProtocolsReply>(nameof(IConsoleHub.ReadProtocols), TestContext.Current.CancellationToken);

    private static Task<ProtocolReply> HandIn(TestConsole console, TestProtocol protocol) => HandIn(console, ProtocolFile.Write(protocol));

    private static Task<ProtocolReply> HandIn(TestConsole console, string text, bool keep = true) =>
        console.Connection.InvokeAsync<ProtocolReply>(nameof(IConsoleHub.HandInProtocol), text, keep, TestContext.Current.CancellationToken);
}
