using System.Collections.Immutable;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Practice;

/// <summary>What the facts of tiers, sign-offs and registrations come to.</summary>
internal sealed record PracticeState
{
    public static PracticeState Empty { get; } = new();

    /// <summary>Tiers that were set, by account.</summary>
    public ImmutableDictionary<string, TierWasSet> Tiers { get; init; } = ImmutableDictionary<string, TierWasSet>.Empty;

    /// <summary>Every sign-off, in the order in which they were recorded.</summary>
    public ImmutableList<SignOff> SignOffs { get; init; } = [];

    /// <summary>Every registration, in the order in which they were recorded.</summary>
    public ImmutableList<Registration> Registrations { get; init; } = [];

    /// <summary>An assistant's tier; a helper until another is set.</summary>
    public AssistantTier TierOf(string personId) => Tiers.TryGetValue(personId, out var set) ? set.Tier : AssistantTier.Helper;
}

/// <summary>A sign-off as it stands.</summary>
/// <param name="Given">As it was given.</param>
/// <param name="WithdrawnBecause">Why it was taken back; absent while it was not.</param>
internal sealed record SignOff(SignOffGiven Given, string? WithdrawnBecause)
{
    /// <summary>Whether it counts on a day; its first and last day included.</summary>
    public bool CountsOn(DateOnly day) => WithdrawnBecause is null && day >= Given.On && day <= Given.Until;
}

/// <summary>A registration as it stands.</summary>
/// <param name="Kept">As it was entered.</param>
/// <param name="EndedBecause">Why it was ended; absent while it was not.</param>
internal sealed record Registration(RegistrationKept Kept, string? EndedBecause)
{
    /// <summary>Whether it counts on a day; its last day included.</summary>
    public bool CountsOn(DateOnly day) => EndedBecause is null && day <= Kept.ValidUntil;
}

/// <summary>Folds facts of the practice. Pure and total: a fact that fits nothing changes nothing.</summary>
internal static class PracticeFold
{
    public static PracticeState Apply(PracticeState state, IPracticeFact fact) => fact switch
    {
        TierWasSet set => state with { Tiers = state.Tiers.SetItem(set.PersonId, set) },
        SignOffGiven given => state with { SignOffs = state.SignOffs.Add(new SignOff(given, null)) },
        SignOffWithdrawn gone => state with { SignOffs = Each(state.SignOffs, signOff => signOff.Given.SignOffId == gone.SignOffId, signOff => signOff with { WithdrawnBecause = gone.Reason }) },
        RegistrationKept kept => state with { Registrations = state.Registrations.Add(new Registration(kept, null)) },
        RegistrationEnded ended => state with { Registrations = Each(state.Registrations, registration => registration.Kept.RegistrationId == ended.RegistrationId, registration => registration with { EndedBecause = ended.Reason }) },
        _ => state,
    };

    private static ImmutableList<T> Each<T>(ImmutableList<T> all, Predicate<T> wanted, Func<T, T> change)
    {
        var index = all.FindIndex(wanted);
        return index < 0 ? all : all.SetItem(index, change(all[index]));
    }
}
