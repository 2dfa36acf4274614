using Microsoft.AspNetCore.Identity;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>Hashing of passwords: the same work whether there is one to compare with or not, and never so much at once that running sessions wait for the processor.</summary>
internal sealed class PasswordWork : IDisposable
{
    /// <summary>Rounds of PBKDF2 with HMAC-SHA-512: OWASP Password Storage Cheat Sheet.</summary>
    public const int Rounds = 210_000;

    private const int AtOnce = 2;

    private readonly SemaphoreSlim _slots = new(AtOnce);
    private string? _nobodys;

    public void Dispose() => _slots.Dispose();

    /// <summary>Compares a password with a person's, or with nobody's.</summary>
    public Task<PasswordVerificationResult> Verify(HubPerson? person, string password, IPasswordHasher<HubPerson> hasher) => Work(() =>
    {
        var nobody = new HubPerson { DisplayName = string.Empty };
        _nobodys ??= hasher.HashPassword(nobody, SecretCode.New());
        var result = hasher.VerifyHashedPassword(person ?? nobody, person?.PasswordHash ?? _nobodys, password);
        return person?.PasswordHash is null ? PasswordVerificationResult.Failed : result;
    });

    /// <summary>Hashes a password to keep.</summary>
    public Task<string> Hash(HubPerson person, string password, IPasswordHasher<HubPerson> hasher) => Work(() => hasher.HashPassword(person, password));

    private async Task<T> Work<T>(Func<T> work)
    {
        await _slots.WaitAsync();
        try
        {
            return work();
        }
        finally
        {
            _slots.Release();
        }
    }
}
