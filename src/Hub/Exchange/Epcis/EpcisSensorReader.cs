using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Reads temperature and shock of a sensor report. What else it holds is left alone. Pure.</summary>
internal static class EpcisSensorReader
{
    /// <summary>Most reports looked at.</summary>
    private const int MostReports = 1000;

    /// <returns>Null when there is neither temperature nor shock.</returns>
    public static ParcelReadings? Read(JsonElement json, int place, List<EpcisFault> faults)
    {
        if (!json.TryGetProperty("sensorElementList", out var list))
        {
            return null;
        }

        var temperatures = new List<double>();
        var shocks = new List<double>();
        foreach (var report in Reports(list).Take(MostReports))
        {
            var (type, unit) = (EpcisEventReader.Text(report, "type", place, faults), EpcisEventReader.Text(report, "uom", place, faults));
            var values = new[] { "value", "minValue", "maxValue", "meanValue" }
                .Where(name => report.TryGetProperty(name, out var value) && value.ValueKind == JsonValueKind.Number)
                .Select(name => report.GetProperty(name).TryGetDouble(out var number) ? number : double.NaN)
                .ToList();
            switch (Tail(type), unit)
            {
                case ("Temperature", "CEL"):
                    temperatures.AddRange(values);
                    break;
                case ("Temperature", "FAH"):
                    temperatures.AddRange(values.Select(degrees => (degrees - 32) / 1.8));
                    break;
                case ("Acceleration", "MSK"):
                    shocks.AddRange(values.Select(shock => Math.Abs(shock) / EpcisParcel.Gravity));
                    break;
                case ("Temperature" or "Acceleration", _) when values.Count > 0:
                    faults.Add(new EpcisFault(place, "sensorReport", "A temperature is given in CEL or FAH, an acceleration in MSK."));
                    break;
            }
        }

        if (temperatures.Concat(shocks).Any(number => !double.IsFinite(number)))
        {
            faults.Add(new EpcisFault(place, "sensorReport", "A reading is no number that can be kept."));
            return null;
        }

        return temperatures.Count + shocks.Count == 0
            ? null
            : new ParcelReadings(Rounded(temperatures, Enumerable.Min), Rounded(temperatures, Enumerable.Max), Rounded(shocks, Enumerable.Max));
    }

    private static double? Rounded(List<double> numbers, Func<IEnumerable<double>, double> of) => numbers.Count == 0 ? null : Math.Round(of(numbers), 3);

    private static IEnumerable<JsonElement> Reports(JsonElement list) => list.ValueKind != JsonValueKind.Array
        ? []
        : list.EnumerateArray()
            .Where(element => element.ValueKind == JsonValueKind.Object && element.TryGetProperty("sensorReport", out var reports) && reports.ValueKind == JsonValueKind.Array)
            .SelectMany(element => element.GetProperty("sensorReport").EnumerateArray())
            .Where(report => report.ValueKind == JsonValueKind.Object);

    private static string? Tail(string? type) => type?[(type.LastIndexOfAny(['-', ':', '/']) + 1)..];
}
