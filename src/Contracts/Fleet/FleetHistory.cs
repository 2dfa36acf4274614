namespace TeleHearing.Contracts;

/// <summary>What the clinic's own records say of demand, cycles and losses: the numbers from which advice about the size of the fleet is worked out. Holds nothing about a person or a place.</summary>
/// <param name="From">First day of the records that are counted.</param>
/// <param name="Until">First day after them.</param>
/// <param name="AskedFor">Loans asked for in that time, those that got no kit included. A loan that only takes another's place is not counted again.</param>
/// <param name="CycleDays">Days from sending to being released for the next loan, of each loan whose kit was released in that time.</param>
/// <param name="Trips">Trips begun in that time, out and back each counted.</param>
/// <param name="Lost">Loans in that time from which the kit did not come back: lost or stolen.</param>
/// <param name="Kits">Kits in service today.</param>
public sealed record FleetHistoryView(DateOnly From, DateOnly Until, int AskedFor, IReadOnlyList<int> CycleDays, int Trips, int Lost, int Kits);

/// <summary>Answer to a question for the history of the fleet.</summary>
public sealed record FleetHistoryReply(FleetHistoryView? History, Refusal? Refusal);
