using System.Globalization;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Rights;

namespace TeleHearing.Hub.Hosting;

/// <summary>How much one connection may ask (design: a person's console asks a few times a second, a kit that resends its journal some hundred times).</summary>
/// <param name="ConsolePerSecond">Calls of a console a second.</param>
/// <param name="ConsoleAtOnce">Calls of a console at once.</param>
/// <param name="KitPerSecond">Calls of a kit a second.</param>
/// <param name="KitAtOnce">Calls of a kit at once.</param>
internal sealed record CallRates(double ConsolePerSecond, int ConsoleAtOnce, double KitPerSecond, int KitAtOnce)
{
    public static CallRates Usual { get; } = new(100, 300, 1000, 2000);

    /// <summary>Of the machine, not of the hub: a clock that stands still in a test must not use a budget up.</summary>
    public TimeProvider Clock { get; init; } = TimeProvider.System;
}

/// <summary>Keeps one connection from taking the hub from the others. A console that asks too often is refused in words, and nothing of it is carried out; a kit waits, for what it reports must not be lost. Silence has a measure of its own, which nothing else uses up.</summary>
internal sealed class CallLimits(CallRates rates, AuditTrail trail) : IHubFilter
{
    private Refusal TooOften => new(
        RefusalCodes.TooOften,
        string.Create(CultureInfo.InvariantCulture, $"This console asks more than {rates.ConsolePerSecond} times a second, so this was not carried out. Silence can be asked for all the same."),
        "Wait a second, then ask again. If you did nothing unusual, close other pages of the console and reload this one.");

    private Refusal SilenceTooOften => new(
        RefusalCodes.TooOften,
        string.Create(CultureInfo.InvariantCulture, $"This console asks for silence more than {rates.ConsolePerSecond} times a second, so this one was not carried out. Those before it were heard."),
        "If sound must end now, ask anyone at the site to press Stop: it works without the hub. Else wait a second, then ask again.");

    public Task OnConnectedAsync(HubLifetimeContext context, Func<HubLifetimeContext, Task> next)
    {
        // Before the first call: from then on several of one connection are under way at a time.
        context.Context.Features.Set(context.Hub is KitHub ? new Budgets(rates.KitPerSecond, rates.KitAtOnce, rates.Clock) : new Budgets(rates.ConsolePerSecond, rates.ConsoleAtOnce, rates.Clock));
        return next(context);
    }

    public async ValueTask<object?> InvokeMethodAsync(HubInvocationContext invocationContext, Func<HubInvocationContext, ValueTask<object?>> next)
    {
        var budgets = BudgetsOf(invocationContext.Context);
        if (invocationContext.Hub is KitHub)
        {
            await budgets.Calls.Wait(invocationContext.Context.ConnectionAborted);
            return await next(invocationContext);
        }

        var asked = invocationContext.HubMethodArguments is [var first, ..] ? first : null;
        var silence = asked is CommandEnvelope envelope && Silencing.Silences(envelope.Command);
        if ((silence ? budgets.Silence : budgets.Calls).Take())
        {
            return await next(invocationContext);
        }

        var refusal = silence ? SilenceTooOften : TooOften;
        await trail.After(CallerOf.Principal(invocationContext.Context.User), Door.Method(invocationContext.Hub.GetType(), invocationContext.HubMethodName), [], refusal.Code);
        CommandId? command = asked switch
        {
            CommandEnvelope ofSession => ofSession.CommandId,
            KitCommandEnvelope ofKit => ofKit.CommandId,
            FleetCommandEnvelope ofFleet => ofFleet.CommandId,
            _ => null,
        };
        return command is { } id ? new Receipt(id, refusal, 0, null) : throw new HubException(refusal.Sentence + " " + refusal.Remedy);
    }

    /// <summary>A feature of the connection, not one of its items: those are a table that would be made for this alone.</summary>
    private static Budgets BudgetsOf(HubCallerContext connection) =>
        connection.Features.Get<Budgets>() ?? throw new InvalidOperationException("A connection was let through without a measure of its calls.");

    private sealed class Budgets(double perSecond, int atOnce, TimeProvider time)
    {
        public CallBudget Calls { get; } = new(perSecond, atOnce, time);

        public CallBudget Silence { get; } = new(perSecond, atOnce, time);
    }
}
