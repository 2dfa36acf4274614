using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Identity;

/// <summary>A person who signs in. No password is kept anywhere.</summary>
public sealed class HubPerson : IdentityUser, ISealedRow
{
    private readonly SealedText _name = new();

    /// <summary>Name as shown to others. Stored sealed: a query cannot compare it, whoever looks for a name reads the accounts.</summary>
    public required string DisplayName { get; set; }

    /// <summary>The name as it is stored.</summary>
    internal string? SealedName { get; set; }

    private string Place => "accounts/" + Id;

    void ISealedRow.Seal(Seals seals) => SealedName = _name.Close(seals, Seals.Clinic, Place, DisplayName, SealedName);

    void ISealedRow.Open(Seals seals) => DisplayName = _name.Open(seals, Seals.Clinic, Place, SealedName) ?? Seals.Unreadable;
}
