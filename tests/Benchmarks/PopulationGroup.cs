using TeleHearing.Audiology.Simulation.Population;

namespace TeleHearing.Benchmarks;

/// <summary>One method on one kind of listener.</summary>
/// <param name="Manner">How the listeners answer.</param>
/// <param name="All">Over everybody.</param>
/// <param name="ByHearing">By kind of hearing.</param>
internal sealed record PopulationGroup(MannerKind Manner, GroupTally All, IReadOnlyDictionary<HearingKind, GroupTally> ByHearing);

/// <summary>One method on the whole population.</summary>
/// <param name="Method">Method.</param>
/// <param name="Groups">Groups.</param>
/// <param name="EarsPerMinute">Ears simulated in a minute on one core.</param>
internal sealed record PopulationResult(PopulationMethod Method, IReadOnlyList<PopulationGroup> Groups, double EarsPerMinute)
{
    public PopulationGroup Of(MannerKind manner) => Groups.First(group => group.Manner == manner);
}
