using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Practice;

/// <summary>Decides what is recorded about tiers, sign-offs and registrations. Pure.</summary>
internal static class PracticeDecider
{
    /// <summary>Whether a command is decided here, and needs to know the people.</summary>
    public static bool Decides(FleetCommand? command) => command is SetTier or GiveSignOff or WithdrawSignOff or KeepRegistration or EndRegistration;

    public static FleetDecision Decide(PracticeState state, FleetCommand command, Actor by, PracticePeople people, DateOnly today) => command switch
    {
        SetTier set => Tier(set, by, people),
        GiveSignOff give => Give(state, give, by, people, today),
        WithdrawSignOff withdraw => state.SignOffs.Any(signOff => signOff.Given.SignOffId == withdraw.SignOffId && signOff.WithdrawnBecause is null)
            ? FleetDecision.Of(new SignOffWithdrawn(withdraw.SignOffId, withdraw.Reason.Trim(), by))
            : FleetDecision.Refuse(PracticeRefusals.UnknownSignOff),
        KeepRegistration keep => Keep(state, keep, by, people, today),
        EndRegistration end => state.Registrations.Any(registration => registration.Kept.RegistrationId == end.RegistrationId && registration.Kept.PersonId == end.PersonId && registration.EndedBecause is null)
            ? FleetDecision.Of(new RegistrationEnded(end.RegistrationId, end.Reason.Trim(), by))
            : FleetDecision.Refuse(PracticeRefusals.UnknownRegistration),
        _ => throw new ArgumentOutOfRangeException(nameof(command), command, "Not a command about the practice."),
    };

    private static FleetDecision Tier(SetTier set, Actor by, PracticePeople people) =>
        people.Is(set.PersonId, Roles.Assistant) is null ? FleetDecision.Refuse(PracticeRefusals.NoAssistant)
        : set.PersonId == by.Id ? FleetDecision.Refuse(PracticeRefusals.Oneself)
        : FleetDecision.Of(new TierWasSet(set.PersonId, set.Tier, set.Reason.Trim(), by));

    private static FleetDecision Give(PracticeState state, GiveSignOff give, Actor by, PracticePeople people, DateOnly today)
    {
        if (people.Is(give.PersonId, Roles.Assistant) is null)
        {
            return FleetDecision.Refuse(PracticeRefusals.NoAssistant);
        }

        if ((people.Is(give.VerifiedById, Roles.Clinician) ?? people.Is(give.VerifiedById, Roles.Owner)) is not { } verifier)
        {
            return FleetDecision.Refuse(PracticeRefusals.NoVerifier);
        }

        if (give.PersonId == give.VerifiedById || give.PersonId == by.Id)
        {
            return FleetDecision.Refuse(PracticeRefusals.Oneself);
        }

        if (Days(give, today) is { } days)
        {
            return days;
        }

        if (state.TierOf(give.PersonId) < AssistantTasks.TierFor(give.Task))
        {
            return FleetDecision.Refuse(RefusalCodes.Invalid, $"To {AssistantTasks.Words(give.Task)} needs tier {AssistantTasks.Words(AssistantTasks.TierFor(give.Task))}.", "Set the tier first, with what it rests on.");
        }

        if (state.SignOffs.Any(signOff => signOff.Given.SignOffId == give.SignOffId))
        {
            return FleetDecision.Refuse(RefusalCodes.Invalid, "A sign-off with this number is recorded already.", "Look at the page as it is now.");
        }

        var seenBefore = state.SignOffs.Any(signOff => signOff is { WithdrawnBecause: null, Given: { How: VerifiedHow.InPerson } given } && given.PersonId == give.PersonId && given.Task == give.Task);
        return give.How != VerifiedHow.InPerson && !seenBefore
            ? FleetDecision.Refuse(RefusalCodes.Invalid, "The first sign-off of a task is given in person.", "Have somebody watch it in person once; it can be renewed by live picture.")
            : FleetDecision.Of(new SignOffGiven(give.SignOffId, give.PersonId, give.Task, new Actor(verifier.PersonId, verifier.Name), give.How, give.On, give.Until, Tidy(give.Note), by));
    }

    private static FleetDecision? Days(GiveSignOff give, DateOnly today) =>
        give.On > today ? FleetDecision.Refuse(RefusalCodes.Invalid, $"{SignOffs.Day(give.On)} is still to come.", "Record it once it was seen.")
        : give.Until < give.On ? FleetDecision.Refuse(RefusalCodes.Invalid, "The last day lies before the day it was seen.", "Exchange the two days.")
        : give.Until < today ? FleetDecision.Refuse(RefusalCodes.Invalid, $"The last day, {SignOffs.Day(give.Until)}, is past already: the sign-off would never count.", "Give a later day.")
        : give.Until.DayNumber - give.On.DayNumber > GiveSignOff.MostDays ? FleetDecision.Refuse(RefusalCodes.Invalid, $"A sign-off counts for at most {GiveSignOff.MostDays} days.", "Give an earlier last day, and renew it then.")
        : null;

    private static FleetDecision Keep(PracticeState state, KeepRegistration keep, Actor by, PracticePeople people, DateOnly today)
    {
        if (people.Is(keep.PersonId, Roles.Clinician) is null)
        {
            return FleetDecision.Refuse(PracticeRefusals.NoClinician);
        }

        if (keep.ValidUntil < today)
        {
            return FleetDecision.Refuse(RefusalCodes.Invalid, $"The last day, {SignOffs.Day(keep.ValidUntil)}, is past already.", "Enter the registration as it is renewed.");
        }

        var place = Jurisdictions.Find(keep.Jurisdiction)!;
        var number = keep.Number.Trim();
        return state.Registrations.Any(registration => registration.Kept.RegistrationId == keep.RegistrationId)
            ? FleetDecision.Refuse(RefusalCodes.Invalid, "A registration with this id is recorded already.", "Look at the page as it is now.")
            : state.Registrations.Any(registration => registration.EndedBecause is null && registration.Kept.PersonId == keep.PersonId && registration.Kept.Jurisdiction == place.Code && registration.Kept.Number == number && registration.Kept.ValidUntil == keep.ValidUntil)
            ? FleetDecision.Refuse(RefusalCodes.Invalid, "This very registration is kept already.", "Give its new last day when it was renewed.")
            : FleetDecision.Of(new RegistrationKept(keep.RegistrationId, keep.PersonId, place.Code, number, keep.Title.Trim(), keep.ValidUntil, by));
    }

    private static string? Tidy(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();
}
