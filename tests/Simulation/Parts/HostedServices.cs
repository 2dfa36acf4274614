using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;

namespace TeleHearing.Simulation.Parts;

/// <summary>Holds what a simulated program starts against what its host would start, so that nothing registered later is left out unseen.</summary>
internal static class HostedServices
{
    /// <summary>Every registered service is either run or named as left out, and nothing else is named.</summary>
    /// <param name="services">What the program is put together from.</param>
    /// <param name="run">What is run.</param>
    /// <param name="leftOut">Names of what is not run, each with why.</param>
    /// <exception cref="InvalidOperationException">The lists do not fit.</exception>
    public static void Check(IServiceCollection services, IReadOnlyList<Type> run, IReadOnlyDictionary<string, string> leftOut)
    {
        var registered = services.Where(service => service.ServiceType == typeof(IHostedService)).Select(Made).ToHashSet();
        var unnamed = registered.Where(type => !run.Contains(type) && !leftOut.ContainsKey(type.Name)).Select(type => type.FullName).ToList();
        var unknown = run.Where(type => !registered.Contains(type)).Select(type => type.Name).Concat(leftOut.Keys.Where(name => registered.All(type => type.Name != name))).ToList();
        if (unnamed.Count + unknown.Count > 0)
        {
            throw new InvalidOperationException($"Hosted services that the simulation neither runs nor names as left out: {string.Join(", ", unnamed)}. Named, but not registered any more: {string.Join(", ", unknown)}.");
        }
    }

    /// <summary>What a registration makes; one made by a function says it in the function's type.</summary>
    private static Type Made(ServiceDescriptor service) => service.ImplementationType ?? service.ImplementationInstance?.GetType() ?? service.ImplementationFactory!.GetType().GenericTypeArguments[1];
}
