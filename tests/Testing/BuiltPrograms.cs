using System.Reflection;

namespace TeleHearing.Testing;

/// <summary>The programs under test as they were built, in the configuration of the test run.</summary>
public static class BuiltPrograms
{
    /// <summary>Path of the hub's assembly.</summary>
    /// <exception cref="FileNotFoundException">The hub was not built in this configuration.</exception>
    public static string Hub => Find("Hub");

    /// <summary>Path of the site agent's assembly.</summary>
    /// <exception cref="FileNotFoundException">The agent was not built in this configuration.</exception>
    public static string SiteAgent => Find("Site.Agent");

    private static string Find(string project)
    {
        var path = Path.Combine(Metadata("SourceFolder"), project, "bin", Metadata("BuiltConfiguration"), Metadata("BuiltFramework"), $"TeleHearing.{project}.dll");
        return File.Exists(path) ? path : throw new FileNotFoundException($"{project} is not built in this configuration. Build the hub first; it builds the site agent too.", path);
    }

    private static string Metadata(string key) =>
        typeof(BuiltPrograms).Assembly.GetCustomAttributes<AssemblyMetadataAttribute>().Single(attribute => attribute.Key == key).Value
        ?? throw new InvalidOperationException($"The test library was built without its {key}.");
}
