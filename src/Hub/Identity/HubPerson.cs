using Microsoft.AspNetCore.Identity;

namespace TeleHearing.Hub.Identity;

/// <summary>A person who signs in. No password is kept anywhere.</summary>
public sealed class HubPerson : IdentityUser
{
    /// <summary>Name as shown to others.</summary>
    public required string DisplayName { get; set; }
}
