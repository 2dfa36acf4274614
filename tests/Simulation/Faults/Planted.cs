using Microsoft.Extensions.DependencyInjection;

namespace TeleHearing.Simulation.Faults;

/// <summary>A fault put into the programs of a world on purpose, to see that the rule meant for it objects. Worlds that count have none.</summary>
internal sealed record Planted
{
    /// <summary>No fault.</summary>
    public static Planted None { get; } = new();

    /// <summary>Changes what the kit's program is put together from.</summary>
    public Action<IServiceCollection> Kit { get; init; } = _ => { };

    /// <summary>Changes what the hub's program is put together from.</summary>
    public Action<IServiceCollection> Hub { get; init; } = _ => { };

    /// <summary>Name of a message the kit's program does not act on, although it comes; absent for none.</summary>
    public string? KitIgnores { get; init; }

    /// <summary>Whether the kit's program does not act on stop.</summary>
    public bool KitIgnoresStop { get; init; }

    /// <summary>What the kit is answered by whoever is in between, and the hub never asked; absent for what goes on to the hub.</summary>
    public Func<object, object?> Answers { get; init; } = _ => null;
}
