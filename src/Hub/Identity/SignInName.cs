namespace TeleHearing.Hub.Identity;

/// <summary>The name a person types beside a password. Never shown to others.</summary>
internal static class SignInName
{
    /// <summary>Most characters.</summary>
    public const int Longest = 64;

    /// <summary>Fewest characters.</summary>
    private const int Shortest = 3;

    /// <summary>Why a name cannot be taken.</summary>
    /// <returns>Null when it can.</returns>
    public static string? Fault(string name) =>
        name.Length is < Shortest or > Longest ? $"A sign-in name has {Shortest} to {Longest} characters."
        : name.All(letter => char.IsAsciiLetterOrDigit(letter) || letter is '-' or '.' or '_' or '@' or '+') ? null
        : "A sign-in name is made of the letters a to z, digits, and the signs - . _ @ +.";
}
