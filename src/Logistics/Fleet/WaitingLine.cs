namespace TeleHearing.Logistics.Fleet;

/// <summary>A waiting line with several servers in balance (M/M/s): a bench for cleaning and checks, or a fleet with a waiting list.</summary>
/// <param name="NobodyThere">Share of time with no job there (P0).</param>
/// <param name="MeanWaiting">Jobs waiting on average (Lq).</param>
/// <param name="MeanThere">Jobs there on average, waiting or served (L).</param>
/// <param name="MeanWaitDays">Days a job waits on average (Wq).</param>
/// <param name="MeanStayDays">Days a job is there on average (W).</param>
public sealed record WaitingLine(double NobodyThere, double MeanWaiting, double MeanThere, double MeanWaitDays, double MeanStayDays)
{
    /// <summary>Finds the balance.</summary>
    /// <param name="jobsPerDay">Jobs that come a day, above 0.</param>
    /// <param name="serviceDays">Mean days one server needs for one, above 0.</param>
    /// <param name="servers">Servers, 1 to <see cref="Load.MostKits"/>.</param>
    /// <returns>The balance; absent when the servers cannot keep up.</returns>
    public static WaitingLine? Of(double jobsPerDay, double serviceDays, int servers)
    {
        Require.Above(jobsPerDay, 0, Load.HighestLoansPerWeek);
        Require.Above(serviceDays, 0, Load.LongestCycleDays);
        Require.Count(servers, 1, Load.MostKits);
        var load = jobsPerDay * serviceDays;
        Require.Within(load, 0, Load.HighestLoad);
        if (ErlangC.Waiting(load, servers) is not { } waiting)
        {
            return null;
        }

        var wait = waiting * serviceDays / (servers - load);
        return new WaitingLine(Nobody(load, servers), jobsPerDay * wait, (jobsPerDay * wait) + load, wait, wait + serviceDays);
    }

    private static double Nobody(double load, int servers)
    {
        // P0 = 1 / (sum of A^n / n! for n below s, and A^s / s! times s / (s - A)); the terms are scaled by the largest so that none overflows.
        var logTerms = new double[servers + 1];
        var term = 0.0;
        for (var n = 1; n <= servers; n++)
        {
            term += Math.Log(load / n);
            logTerms[n] = term;
        }

        logTerms[servers] += Math.Log(servers / (servers - load));
        var largest = logTerms.Max();
        return Math.Exp(-largest) / logTerms.Sum(one => Math.Exp(one - largest));
    }
}
