using System.Globalization;
using System.Security.Cryptography;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>Seals what is stored about people, and opens it. Below the stores: whoever uses them sees open texts only. Any thread (docs/decisions/0044).</summary>
public class Seals
{
    /// <summary>Key of what belongs to no session: names of who works here, facts of kits and of the fleet, photos.</summary>
    internal const string Clinic = "clinic";

    /// <summary>What is shown where a text cannot be opened.</summary>
    internal const string Unreadable = "(cannot be read)";

    /// <summary>What is shown where a text was erased.</summary>
    internal const string Erased = "(erased)";

    private readonly DataKeys _keys;

    internal Seals(DataKeys keys) => _keys = keys;

    internal DataKeys Keys => _keys;

    /// <summary>Which key seals a chain: a session's own, or the clinic's.</summary>
    internal static string ScopeOf(string chainName) => Guid.TryParseExact(chainName, "N", out _) ? Session(chainName) : Clinic;

    /// <summary>Key of a session.</summary>
    internal static string ScopeOf(Guid sessionId) => Session(SessionEventRow.ChainOf(sessionId));

    /// <summary>Seals a text for a place. No key is made here: this runs inside transactions that write, beside which no other connection can.</summary>
    /// <exception cref="CryptographicException">There is no key, or it was destroyed.</exception>
    internal virtual string Close(string scope, string place, string text)
    {
        using var ready = Ready(scope);
        return Seal.Text(ready.Cipher, place, text);
    }

    /// <summary>Opens a text of a place.</summary>
    /// <returns>Null when its key is gone or it is not what was sealed there.</returns>
    internal virtual string? Open(string scope, string place, string? stored)
    {
        using var ready = stored is null ? null : _keys.Cipher(scope);
        return ready is null ? null : Seal.OpenText(ready.Cipher, place, stored!);
    }

    /// <summary>Payload of a row of a chain as it is stored, which the chain hashes.</summary>
    internal string Close(string chainName, long sequence, string payload) => Close(ScopeOf(chainName), Place(chainName, sequence), payload);

    /// <summary>Payload of a row of a chain as it was written. One that cannot be opened is empty, and so is one that lies open: it was put there by somebody without the keys. The row is then carried along unread.</summary>
    internal string Open(IChainedRow row) => Open(row.ChainName, row.Sequence, row.Kind, row.Payload);

    /// <inheritdoc cref="Open(IChainedRow)"/>
    internal string Open(string chainName, long sequence, string kind, string payload) =>
        kind == SessionErased.Kind ? payload : Open(ScopeOf(chainName), Place(chainName, sequence), payload) ?? string.Empty;

    /// <summary>Seals the content of a file.</summary>
    internal byte[] CloseFile(string place, ReadOnlySpan<byte> content)
    {
        using var ready = Ready(Clinic);
        return Seal.File(ready.Cipher, place, content);
    }

    /// <summary>Opens the content of a sealed file.</summary>
    internal byte[]? OpenFile(string place, ReadOnlySpan<byte> stored)
    {
        using var ready = _keys.Cipher(Clinic);
        return ready is null ? null : Seal.OpenFile(ready.Cipher, place, stored);
    }

    private ReadyCipher Ready(string scope) => _keys.Cipher(scope) ?? throw new CryptographicException($"The key of {scope} was destroyed, or the keys of this data folder do not open it. Nothing was stored.");

    // Names of chains differ between tables, so a row of one fits into no other.
    private static string Place(string chainName, long sequence) => string.Create(CultureInfo.InvariantCulture, $"{chainName}/{sequence}");

    private static string Session(string chainName) => "session " + chainName;
}
