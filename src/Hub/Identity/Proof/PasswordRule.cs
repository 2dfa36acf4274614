using Microsoft.AspNetCore.Identity;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>What a password must be: long, and not one that others think of first. Any characters, in any mixture (OWASP ASVS 5.0, 6.2; NIST SP 800-63B-4, 3.1.1.2).</summary>
internal sealed class PasswordRule : IPasswordValidator<HubPerson>
{
    /// <summary>Least length, characters.</summary>
    public const int Shortest = 12;

    /// <summary>Greatest length, characters; more would only be work for the hub. At least 64 by both sources.</summary>
    public const int Longest = 256;

    /// <summary>Letters that must be left once the words a stranger tries first are taken out.</summary>
    private const int LeastOwn = 6;

    /// <summary>Why a password is not good enough.</summary>
    /// <param name="password">As typed.</param>
    /// <param name="words">Name, sign-in name and the like: what a stranger would try first.</param>
    /// <returns>Null when it is.</returns>
    public static string? Fault(string password, params IReadOnlyList<string?> words)
    {
        if (password.Length < Shortest)
        {
            return $"The password has {password.Length} characters; it needs at least {Shortest}. A few words in a row are easy to keep in mind.";
        }

        if (password.Length > Longest)
        {
            return $"The password has {password.Length} characters; at most {Longest} are taken.";
        }

        if (CommonPasswords.Contain(password))
        {
            return "Many people have chosen this password, so it is among the first that are tried. Choose another.";
        }

        var own = words.Append("telehearing").OfType<string>().SelectMany(word => word.Split(' ', StringSplitOptions.RemoveEmptyEntries)).Where(word => word.Length > 2)
            .Aggregate(password, (left, word) => left.Replace(word, string.Empty, StringComparison.OrdinalIgnoreCase));
        return own.Length < LeastOwn ? "The password is little more than your name or the name of this program. Choose another." : null;
    }

    /// <inheritdoc />
    public Task<IdentityResult> ValidateAsync(UserManager<HubPerson> manager, HubPerson user, string? password) =>
        Task.FromResult(Fault(password ?? string.Empty, user.DisplayName, user.UserName) is { } fault
            ? IdentityResult.Failed(new IdentityError { Code = "Password", Description = fault })
            : IdentityResult.Success);
}
