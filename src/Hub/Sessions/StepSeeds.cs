using System.Security.Cryptography;

namespace TeleHearing.Hub.Sessions;

/// <summary>Draws the seed of a step, from which every random choice inside it comes. It stands in the order, so a step can be told again exactly.</summary>
internal class StepSeeds
{
    /// <summary>Not to be foreseen by whoever knows the ones before: the person must not learn when a tone comes.</summary>
    public virtual int Next() => RandomNumberGenerator.GetInt32(int.MaxValue);
}
