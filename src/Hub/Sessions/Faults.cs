using System.Globalization;

namespace TeleHearing.Hub.Sessions;

/// <summary>Collects everything that is wrong.</summary>
internal sealed class Faults
{
    private readonly List<string> _all = [];

    public IReadOnlyList<string> All => _all;

    public void Need(bool holds, string sentence)
    {
        if (!holds)
        {
            _all.Add(sentence);
        }
    }

    /// <summary>A needed line of text.</summary>
    public void Line(string? text, string what) => Filled(text, what, CommandValidator.LongestLine);

    /// <summary>A needed free text.</summary>
    public void Text(string? text, string what) => Filled(text, what, CommandValidator.LongestText);

    public void OptionalText(string? text, string what) =>
        Need((text?.Length ?? 0) <= CommandValidator.LongestText, $"{Capital(what)} is longer than {CommandValidator.LongestText} characters.");

    /// <summary>A name of the set, not a number that stands for none.</summary>
    public void Known<TEnum>(TEnum value, string what)
        where TEnum : struct, Enum =>
        Need(Enum.IsDefined(value), $"The {what} is not one of: {string.Join(", ", Enum.GetNames<TEnum>())}.");

    /// <summary>A finite number within limits, both included.</summary>
    public void InRange(double value, double low, double high, string what, string unit) =>
        Need(double.IsFinite(value) && value >= low && value <= high, string.Create(CultureInfo.InvariantCulture, $"{Capital(what)} must be a number from {low} to {high} {unit}."));

    private void Filled(string? text, string what, int longest)
    {
        Need(!string.IsNullOrWhiteSpace(text), $"{Capital(what)} is missing.");
        Need((text?.Length ?? 0) <= longest, $"{Capital(what)} is longer than {longest} characters.");
    }

    private static string Capital(string text) => char.ToUpperInvariant(text[0]) + text[1..];
}
