namespace TeleHearing.Contracts;

/// <summary>Somebody who works with this hub, as far as control and handoffs are concerned.</summary>
/// <param name="PersonId">Account id.</param>
/// <param name="Name">Name as shown.</param>
/// <param name="Clinician">Control can be handed to them.</param>
/// <param name="SeesSessions">A next step can be handed to them.</param>
/// <param name="MayBeLent">Tasks that can be lent to them today; empty for who is no assistant.</param>
public sealed record ColleagueView(string PersonId, string Name, bool Clinician, bool SeesSessions, IReadOnlyList<AssistantTask> MayBeLent);

/// <summary>Answer to a look at who works here.</summary>
public sealed record ColleaguesReply(IReadOnlyList<ColleagueView> People, Refusal? Refusal);
