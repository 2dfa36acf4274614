using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Journal;

public sealed class OrderLedgerTests
{
    private static StepOrder Order(SessionId session, long number, int epoch = 1) =>
        new(session, StepId.New(), number, epoch, 0, 100, 1, [], new CheckKitStep());

    private static OrderLedger Load(TempFolder folder, IDurableFiles? files = null) => OrderLedger.Load(folder.Path, files ?? new DurableFiles());

    [Fact]
    public void WhatWasAcceptedIsKnownAfterARestart()
    {
        using var folder = new TempFolder();
        var session = SessionId.New();
        var (first, second) = (Order(session, 3, epoch: 2), Order(session, 7));
        var ledger = Load(folder);
        ledger.Accept(first);
        ledger.End(first.StepId);
        ledger.Accept(second);

        var again = Load(folder);

        Assert.Equal(new OpenStep(session, second.StepId), again.Unfinished);
        Assert.Equal([first.StepId, second.StepId], again.OrdersSeen);
        Assert.Equal((7L, 2), (again.Of(session)!.HighestOrder, again.Of(session)!.HighestEpoch));
    }

    [Fact]
    public void ARaisedEpochIsKnownBeforeItsFirstOrderAndAfterARestart()
    {
        using var folder = new TempFolder();
        var (session, fresh) = (SessionId.New(), SessionId.New());
        var ledger = Load(folder);
        var first = Order(session, 3, epoch: 2);
        ledger.Accept(first);

        ledger.Raise(session, 5);
        ledger.Raise(session, 4);
        Assert.Equal([first.StepId], ledger.OrdersSeen);
        ledger.Raise(fresh, 2);

        var again = Load(folder);
        Assert.Equal((3L, 5), (again.Of(session)!.HighestOrder, again.Of(session)!.HighestEpoch));
        Assert.Equal((0L, 2), (again.Of(fresh)!.HighestOrder, again.Of(fresh)!.HighestEpoch));
    }

    [Fact]
    public void OrdersSeenAreThoseOfTheNewestSession()
    {
        using var folder = new TempFolder();
        var ledger = Load(folder);
        ledger.Accept(Order(SessionId.New(), 1));
        var order = Order(SessionId.New(), 1);
        ledger.Accept(order);

        Assert.Equal([order.StepId], ledger.OrdersSeen);
    }

    [Fact]
    public void AnOrderTheDiskDidNotTakeIsNotAccepted()
    {
        using var folder = new TempFolder();
        var files = new FailingFiles();
        var ledger = Load(folder, files);
        files.Full = true;
        var order = Order(SessionId.New(), 1);

        Assert.Throws<StorageFaultException>(() => ledger.Accept(order));

        Assert.Null(ledger.Unfinished);
        Assert.Null(ledger.Of(order.SessionId));
    }

    [Fact]
    public void ADamagedLedgerIsAFaultAndNeverReadAsEmpty()
    {
        using var folder = new TempFolder();
        File.WriteAllText(folder.Inside("orders.json"), "{ torn");

        Assert.Contains("damaged", Assert.Throws<InvalidDataException>(() => Load(folder)).Message, StringComparison.Ordinal);
    }
}
