using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>How an account stands.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<PersonState>))]
public enum PersonState
{
    /// <summary>Has a link and has not used it yet.</summary>
    Invited,

    /// <summary>Has no way in: the link ran out unused.</summary>
    LinkOver,

    /// <summary>Can sign in.</summary>
    Open,

    /// <summary>The password is not looked at for a while, after wrong tries. Passkeys work.</summary>
    Locked,

    /// <summary>Closed by an owner.</summary>
    Closed,
}

/// <summary>Somebody who works with the hub, as the owner sees them.</summary>
/// <param name="Id">Account.</param>
/// <param name="Name">Name as shown.</param>
/// <param name="Roles">See <see cref="Contracts.Roles"/>.</param>
/// <param name="State">How the account stands.</param>
/// <param name="Until">Until when it stands so: end of the link, or of the lock.</param>
/// <param name="Passkeys">How many passkeys there are.</param>
/// <param name="HasPassword">Whether there is a password with an authenticator.</param>
public sealed record PersonLine(string Id, string Name, IReadOnlyList<string> Roles, PersonState State, DateTimeOffset? Until, int Passkeys, bool HasPassword)
{
    /// <summary>Whether they come through their organisation.</summary>
    public bool ThroughOrganisation { get; init; }
}

/// <summary>Everybody who works with the hub, by name.</summary>
public sealed record PeopleReply(IReadOnlyList<PersonLine> People, Refusal? Refusal);

/// <summary>Something an owner does about people.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "act")]
[JsonDerivedType(typeof(InvitePerson), "invite")]
[JsonDerivedType(typeof(ChangeRoles), "change-roles")]
[JsonDerivedType(typeof(ClosePerson), "close")]
[JsonDerivedType(typeof(EndSignIns), "end-sign-ins")]
[JsonDerivedType(typeof(RenewLink), "renew-link")]
public abstract record PeopleAct;

/// <summary>Enter somebody and make a single-use link for them.</summary>
/// <param name="Name">1 to 100 characters.</param>
/// <param name="Roles">At least one.</param>
public sealed record InvitePerson(string Name, IReadOnlyList<string> Roles) : PeopleAct;

/// <summary>Give somebody these roles and no others. Their sign-ins end.</summary>
public sealed record ChangeRoles(string PersonId, IReadOnlyList<string> Roles) : PeopleAct;

/// <summary>Close an account. What the person did stays on record.</summary>
public sealed record ClosePerson(string PersonId) : PeopleAct;

/// <summary>End all sign-ins of somebody.</summary>
public sealed record EndSignIns(string PersonId) : PeopleAct;

/// <summary>Somebody lost everything: what they had stops working, a closed account opens again, and a new link is made.</summary>
public sealed record RenewLink(string PersonId) : PeopleAct;

/// <summary>An act on its way to the hub.</summary>
public sealed record PeopleRequest(PeopleAct Act);

/// <summary>Answer to an act.</summary>
/// <param name="LinkPath">Path of the link to hand over in private; absent when none was made.</param>
/// <param name="LinkUntil">Until when it works.</param>
/// <param name="Refusal">Absent when it was done.</param>
public sealed record PeopleAnswer(string? LinkPath, DateTimeOffset? LinkUntil, Refusal? Refusal);
