using System.Globalization;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>How the figures are taken and printed.</summary>
internal static class Figures
{
    public static void Line(FormattableString text) => Console.WriteLine(text.ToString(CultureInfo.InvariantCulture));

    public static void Print(string what, Spread spread) => Line($"  {what,-58} p50 {spread.P50,8:0.000} ms   p99 {spread.P99,8:0.000} ms");

    /// <summary>Prints a ratio with what is to be reached.</summary>
    public static void Ratio(string what, double ratio, string bound, double limit) =>
        Line($"{what,-74} {ratio,6:0.00}   {bound} {limit:0.0#}: {((bound == "at least" ? ratio >= limit : ratio <= limit) ? "reached" : "NOT REACHED")}");

    /// <summary>Rounds a second that all of them make together, each one after the other.</summary>
    public static async Task<double> Rate<T>(IReadOnlyList<T> all, TimeSpan time, Func<T, Task> round, CancellationToken cancellationToken)
    {
        var began = TimeProvider.System.GetTimestamp();
        var counts = await Task.WhenAll(all.Select(one => Task.Run(
            async () =>
            {
                var count = 0;
                while (TimeProvider.System.GetElapsedTime(began) < time)
                {
                    cancellationToken.ThrowIfCancellationRequested();
                    await round(one);
                    count++;
                }

                return count;
            },
            cancellationToken)));
        return counts.Sum() / TimeProvider.System.GetElapsedTime(began).TotalSeconds;
    }
}
