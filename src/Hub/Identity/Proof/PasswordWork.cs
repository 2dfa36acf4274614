using Microsoft.AspNetCore.Identity;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>Hashing of passwords: the same work whether there is one to compare with or not, and never so much at once that running sessions wait for the processor.</summary>
internal sealed class PasswordWork : IDisposable
{
    /// <summary>Rounds of PBKDF2 with HMAC-SHA-512: OWASP Password Storage Cheat Sheet.</summary>
    public const int Rounds = 210_000;

    /// <summary>Strangers that may wait for a place (design: a second or two of work); one more is sent away at once, before anything of theirs is looked up, counted or written.</summary>
    public const int MostWaiting = 8;

    private const int AtOnce = 2;

    private readonly SemaphoreSlim _slots = new(AtOnce);
    private int _waiting;
    private string? _nobodys;

    public void Dispose() => _slots.Dispose();

    /// <summary>Takes a place to judge a password in, until it is disposed of.</summary>
    /// <param name="stranger">Whether anybody may ask; of those only a few wait.</param>
    /// <returns>Null when too many wait already.</returns>
    public async Task<IDisposable?> Take(bool stranger)
    {
        if (!await _slots.WaitAsync(TimeSpan.Zero))
        {
            if (Interlocked.Increment(ref _waiting) > MostWaiting && stranger)
            {
                Interlocked.Decrement(ref _waiting);
                return null;
            }

            try
            {
                await _slots.WaitAsync();
            }
            finally
            {
                Interlocked.Decrement(ref _waiting);
            }
        }

        return new Place(_slots);
    }

    /// <summary>Compares a password with a person's, or with nobody's. The caller holds a place.</summary>
    public PasswordVerificationResult Verify(HubPerson? person, string password, IPasswordHasher<HubPerson> hasher)
    {
        var nobody = new HubPerson { DisplayName = string.Empty };
        _nobodys ??= hasher.HashPassword(nobody, SecretCode.New());
        var result = hasher.VerifyHashedPassword(person ?? nobody, person?.PasswordHash ?? _nobodys, password);
        return person?.PasswordHash is null ? PasswordVerificationResult.Failed : result;
    }

    /// <summary>Hashes a password to keep.</summary>
    public async Task<string> Hash(HubPerson person, string password, IPasswordHasher<HubPerson> hasher)
    {
        using var place = await Take(stranger: false);
        return hasher.HashPassword(person, password);
    }

    private sealed class Place(SemaphoreSlim slots) : IDisposable
    {
        private int _left;

        public void Dispose()
        {
            if (Interlocked.Exchange(ref _left, 1) == 0)
            {
                slots.Release();
            }
        }
    }
}
