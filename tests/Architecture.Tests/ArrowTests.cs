using System.Reflection;
using System.Xml.Linq;

namespace TeleHearing.Architecture.Tests;

/// <summary>The arrows between the projects: {Audiology, Logistics} &lt;- Contracts &lt;- {Hub, console, site agent}; Audiology &lt;- Charts &lt;- the same three; Links &lt;- the same three.</summary>
public sealed class ArrowTests
{
    public static TheoryData<string, string[]> AllowedReferences => new()
    {
        { "Audiology", [] },
        { "Logistics", [] },
        { "Contracts", ["Audiology", "Logistics"] },
        { "Charts", ["Audiology"] },
        { "Links", [] },
        { "Clinician.Web", ["Audiology", "Charts", "Contracts", "Links", "Logistics"] },
        { "Site.Agent", ["Audiology", "Charts", "Contracts", "Links", "Logistics"] },
        { "Hub", ["Audiology", "Charts", "Contracts", "Links", "Logistics"] },
    };

    [Theory]
    [MemberData(nameof(AllowedReferences))]
    public void AssembliesUseOnlyWhatTheArrowsAllow(string project, string[] allowed)
    {
        var assembly = Assembly.Load($"TeleHearing.{project}");

        var used = assembly.GetReferencedAssemblies()
            .Select(reference => reference.Name!)
            .Where(name => name.StartsWith("TeleHearing.", StringComparison.Ordinal))
            .Select(name => name["TeleHearing.".Length..]);

        Assert.Empty(used.Except(allowed));
    }

    [Fact]
    public void HubAndSiteAgentReferenceEachOtherOnlyAsBuildOrder()
    {
        var hub = ProjectReferences("Hub").Single(reference => reference.Attribute("Include")!.Value.Contains("Site.Agent", StringComparison.Ordinal));

        Assert.Equal("false", hub.Attribute("ReferenceOutputAssembly")?.Value);
        Assert.DoesNotContain(ProjectReferences("Site.Agent"), reference => reference.Attribute("Include")!.Value.Contains("Hub", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("Audiology")]
    [InlineData("Logistics")]
    [InlineData("Contracts")]
    public void PureProjectsTakeNoPackage(string project) =>
        Assert.Empty(Project(project).Descendants("PackageReference"));

    [Fact]
    public void NoProjectFileNamesAVersion()
    {
        var withVersion = Directory.EnumerateFiles(Repository.Root, "*.csproj", SearchOption.AllDirectories)
            .Where(file => XDocument.Load(file).Descendants("PackageReference").Any(reference => reference.Attribute("Version") is not null));

        Assert.Empty(withVersion);
    }

    private static IEnumerable<XElement> ProjectReferences(string project) => Project(project).Descendants("ProjectReference");

    private static XDocument Project(string project) => XDocument.Load(Path.Combine(Repository.Root, "src", project, $"{project}.csproj"));
}
