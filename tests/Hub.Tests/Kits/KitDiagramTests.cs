using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits;

public sealed class KitDiagramTests
{
    [Fact]
    public void TheDiagramInTheDocumentsIsTheMachines()
    {
        var path = Path.Combine(RepositoryRoot.Path, "docs", "states", "kit.md");
        if (Environment.GetEnvironmentVariable("TELEHEARING_WRITE_DIAGRAMS") == "1")
        {
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            File.WriteAllText(path, KitDiagram.Page());
        }

        Assert.Equal(KitDiagram.Page(), File.ReadAllText(path));
    }
}
