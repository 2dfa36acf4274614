using TeleHearing.Hub.Cli;
using TeleHearing.Hub.Hosting;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Cli;

/// <summary>A setting that cannot be is said to whoever starts the hub in sentences, without what the framework adds for programmers.</summary>
public sealed class WrongSettingTests
{
    [Fact]
    public void NoNameOfAParameterIsAdded()
    {
        using var folder = new TempFolder();

        var fault = Assert.Throws<CliFault>(() => HubStart.Build(new HubSettings { DataFolder = folder.Path, Urls = "http://0.0.0.0:5080" }, TimeProvider.System));

        Assert.Contains("plain HTTP for other machines", fault.Message, StringComparison.Ordinal);
        Assert.DoesNotContain("settings')", fault.Message, StringComparison.Ordinal);
        Assert.EndsWith(".", fault.Message, StringComparison.Ordinal);
    }
}
