using System.Globalization;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>How far a kit's wall clock may be off, and what is said when it is further. Timing of sound never uses it. Pure.</summary>
internal static class KitClock
{
    /// <summary>How far it may be off, either way (design).</summary>
    public static readonly TimeSpan Tolerance = TimeSpan.FromMinutes(2);

    /// <summary>What to say of a clock that is too far off; nothing when it is not.</summary>
    /// <param name="made">When the kit says it made what it sent.</param>
    /// <param name="life">How old that may be by itself.</param>
    /// <param name="now">The hub's time.</param>
    public static string? Fault(DateTimeOffset made, TimeSpan life, DateTimeOffset now) =>
        made > now + Tolerance ? Sentence(made - now, "ahead of")
        : made < now - life - Tolerance ? Sentence(now - made, "behind")
        : null;

    private static string Sentence(TimeSpan off, string which)
    {
        var minutes = Math.Max(1, (long)Math.Round(off.TotalMinutes));
        var length = minutes < 120 ? $"{minutes} minute{(minutes == 1 ? string.Empty : "s")}" : minutes < 2880 ? $"{minutes / 60} hours" : $"{minutes / 1440} days";
        return string.Create(CultureInfo.InvariantCulture, $"The clock of this kit is {length} {which} the clinic's, or what it sent was held up that long. Set date and time of the kit; it then links by itself.");
    }
}
