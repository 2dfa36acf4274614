namespace TeleHearing.Logistics.Fleet;

/// <summary>One fleet size.</summary>
/// <param name="Kits">Kits at work.</param>
/// <param name="KitsToOwn">Kits to own for that, with those away for calibration.</param>
/// <param name="Refused">Share of loans that find no kit and go elsewhere (Erlang B).</param>
/// <param name="RefusedPerYear">The same as loans a year.</param>
/// <param name="InUse">Share of the kits at work that are out on average.</param>
/// <param name="Waiting">Share that would have to wait, if loans waited instead (Erlang C); absent when the fleet cannot keep up.</param>
/// <param name="MeanWaitDays">Mean wait of all, if they waited; absent when the fleet cannot keep up.</param>
/// <param name="KeepsTarget">Whether the target is kept.</param>
public sealed record FleetRow(
    int Kits, int KitsToOwn, double Refused, double RefusedPerYear, double InUse, double? Waiting, double? MeanWaitDays, bool KeepsTarget)
{
    internal static FleetRow Of(int kits, double load, FleetQuestion question)
    {
        var refused = ErlangB.Refused(load, kits);
        return new FleetRow(
            kits,
            Availability.KitsToOwn(kits, question.Availability),
            refused,
            refused * question.LoansPerWeek * Load.DaysPerYear / Load.DaysPerWeek,
            load * (1 - refused) / kits,
            ErlangC.Waiting(load, kits),
            ErlangC.MeanWaitDays(load, kits, question.CycleDays),
            refused <= question.RefusedTarget);
    }
}

/// <summary>What a shorter cycle would buy: days taken off the post, the turnaround or the wait at the site, which all count alike.</summary>
/// <param name="DaysLess">Days taken off, all days counted.</param>
/// <param name="CycleDays">The cycle then.</param>
/// <param name="OfferedLoad">The load then.</param>
/// <param name="RefusedAtSameKits">Share of loans refused then, with the fleet advised without it.</param>
/// <param name="Kits">Kits at work that keep the target then.</param>
/// <param name="KitsToOwn">Kits to own for that.</param>
/// <param name="LoansPerWeekAtSameKits">Demand the fleet advised without it could serve then at the target.</param>
public sealed record FleetSaving(
    int DaysLess, double CycleDays, double OfferedLoad, double RefusedAtSameKits, int? Kits, int? KitsToOwn, double LoansPerWeekAtSameKits);
