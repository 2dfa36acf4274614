using System.Security.Cryptography;
using System.Text;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Ids in events: the same each time for the same thing, and nobody outside can guess back from one to a place, a serial number or a loan. Pure.</summary>
/// <remarks>
/// Each id is made with the clinic's secret key (HMAC-SHA-256, RFC 2104), cut to the form of a UUID of version 8 (RFC 9562, section 5.8). A plain hash would not do: whoever has a list of addresses can hash them all.
/// A kit alone is named by the number on its case when the clinic has an address of its own to name it under.
/// </remarks>
internal sealed class EpcisIds
{
    private readonly byte[] _key;
    private readonly string? _base;

    /// <param name="key">The clinic's secret.</param>
    /// <param name="baseAddress">Address under which the clinic names its things, ending in a slash; absent for ids without an address.</param>
    public EpcisIds(byte[] key, string? baseAddress)
    {
        _key = key;
        _base = baseAddress;
    }

    /// <summary>The clinic's own shelf.</summary>
    public string Clinic => Coded("place", "clinic");

    /// <summary>A kit.</summary>
    public string Kit(KitId kitId) => _base is null ? Coded("kit", kitId.Value) : _base + "kit/" + Uri.EscapeDataString(kitId.Value);

    /// <summary>A thing with a serial number.</summary>
    public string Thing(string serial) => Coded("thing", serial);

    /// <summary>A kind of thing that is counted.</summary>
    public string Kind(KitId kitId, string itemId) => Coded("kind", kitId.Value + "\n" + itemId);

    /// <summary>A place that was written as text.</summary>
    public string Place(string place) => Coded("place", "at\n" + place.Trim().ToUpperInvariant());

    /// <summary>A loan, or one of its papers.</summary>
    public string Loan(LoanId loanId, string paper) => Coded("paper", paper + "\n" + loanId);

    /// <summary>Outcome of a check, by the entry that has it.</summary>
    public string Check(KitId kitId, long entry) => Coded("check", FormattableString.Invariant($"{kitId.Value}\n{entry}"));

    /// <summary>A certificate.</summary>
    public string Certificate(string number) => Coded("certificate", number);

    /// <summary>An event. Never under an address: the standard asks for a UUID.</summary>
    public string Event(KitId kitId, long entry, int part) => "urn:uuid:" + Code("event", FormattableString.Invariant($"{kitId.Value}\n{entry}\n{part}"));

    private string Coded(string kind, string text) => _base is null ? "urn:uuid:" + Code(kind, text) : _base + kind + "/" + Code(kind, text);

    private Guid Code(string kind, string text)
    {
        var bytes = HMACSHA256.HashData(_key, Encoding.UTF8.GetBytes(kind + "\n" + text)).AsSpan(0, 16);
        bytes[6] = (byte)((bytes[6] & 0x0F) | 0x80);
        bytes[8] = (byte)((bytes[8] & 0x3F) | 0x80);
        return new Guid(bytes, bigEndian: true);
    }
}
