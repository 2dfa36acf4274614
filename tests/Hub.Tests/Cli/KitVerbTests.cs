using System.CommandLine;
using System.Text.Json;
using TeleHearing.Hub.Cli;
using TeleHearing.Hub.Cli.SettingUp;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Cli;

/// <summary>The verbs <c>kits epcis</c>, <c>kits export</c> and <c>kits import</c> on a hub that runs: what is written, and what a person reads when it cannot be.</summary>
public sealed class KitVerbTests : IAsyncLifetime
{
    private const string File = "kit,label,where,item,kind,expected,par\nkit-01,loan kit,shelf,W1,wipes,20,10\nkit-09,new kit,store,B1,button,1,1\n";

    private readonly TempFolder _folder = new();
    private RunningHub _hub = null!;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        await using var kit = await _hub.Kit();
    }

    public async ValueTask DisposeAsync()
    {
        await _hub.DisposeAsync();
        _folder.Dispose();
    }

    [Fact]
    public async Task AHistoryIsWrittenOnceAndNeverOverAnotherFile()
    {
        var path = Path.Combine(_folder.Path, "kit-01.jsonld");

        var written = await Run("epcis", "--kit", "kit-01", "--out", path);

        Assert.Equal((ExitCodes.Done, $"The history of kit-01 is in {path}.\n", string.Empty), written);
        using var document = JsonDocument.Parse(await System.IO.File.ReadAllTextAsync(path, Token));
        Assert.Equal("EPCISDocument", document.RootElement.GetProperty("type").GetString());
        var again = await Run("epcis", "--kit", "kit-01", "--out", path);
        Assert.NotEqual(ExitCodes.Done, again.Code);
        Assert.Contains("Name a file that is not there yet", again.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AHistoryThatCannotBeWrittenSaysWhyAndLeavesNothing()
    {
        var path = Path.Combine(_folder.Path, "history.jsonld");
        Assert.Contains("There is no kit kit-77. Nothing was written.", (await Run("epcis", "--kit", "kit-77", "--out", path)).Error, StringComparison.Ordinal);
        Assert.Contains("could not be written", (await Run("epcis", "--kit", "kit-01", "--out", Path.Combine(_folder.Path, "none", "a.jsonld"))).Error, StringComparison.Ordinal);
        await System.IO.File.WriteAllTextAsync(Path.Combine(_hub.DataFolder, "epcis.json"), "{\"key\": \"short\"}", Token);
        Assert.Contains("\"key\" must be at least 32 bytes", (await Run("epcis", "--kit", "kit-01", "--out", path)).Error, StringComparison.Ordinal);

        Assert.Empty(Directory.GetFileSystemEntries(_folder.Path));
    }

    [Fact]
    public async Task AFileIsShownKeptAndWrittenBack()
    {
        var (input, output) = (Path.Combine(_folder.Path, "in.csv"), Path.Combine(_folder.Path, "out.csv"));
        await System.IO.File.WriteAllTextAsync(input, File, Token);

        var shown = await Run("import", "--file", input);
        Assert.Equal(ExitCodes.Done, shown.Code);
        Assert.Contains("kit-09 (new):", shown.Output, StringComparison.Ordinal);
        Assert.EndsWith("Nothing is changed yet. Run it again with --keep to keep this.\n", shown.Output, StringComparison.Ordinal);
        Assert.EndsWith("kept.\n", (await Run("import", "--file", input, "--keep")).Output, StringComparison.Ordinal);
        Assert.Equal(ExitCodes.Done, (await Run("export", "--to", output)).Code);
        var back = await Run("import", "--file", output, "--keep");

        Assert.Equal("kit-01: nothing changes\nkit-09: nothing changes\nNothing changes, so nothing was recorded.\n", back.Output);
        var over = await Run("export", "--to", output);
        Assert.Contains("is there already and was not replaced", over.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AFaultyFileIsRefusedWithEveryFaultByLineAndNothingIsKept()
    {
        var input = Path.Combine(_folder.Path, "in.csv");
        await System.IO.File.WriteAllTextAsync(input, File.Replace("W1,wipes,20,10", "W1,,0,30", StringComparison.Ordinal), Token);

        var refused = await Run("import", "--file", input, "--keep");

        Assert.NotEqual(ExitCodes.Done, refused.Code);
        Assert.Contains($"{input} cannot be used. Nothing was changed.", refused.Error, StringComparison.Ordinal);
        Assert.Contains("line 2, kind:", refused.Error, StringComparison.Ordinal);
        Assert.Contains("line 2, expected:", refused.Error, StringComparison.Ordinal);
        Assert.Contains("There is no kit kit-09", (await Run("epcis", "--kit", "kit-09", "--out", Path.Combine(_folder.Path, "a"))).Error, StringComparison.Ordinal);
        Assert.Contains("cannot be read", (await Run("import", "--file", Path.Combine(_folder.Path, "none.csv"))).Error, StringComparison.Ordinal);
        Assert.Contains("There is no hub in", (await Run(_folder.Path, ["import", "--file", input])).Error, StringComparison.Ordinal);
    }

    private Task<(int Code, string Output, string Error)> Run(params string[] words) => Run(_hub.DataFolder, words);

    private static async Task<(int Code, string Output, string Error)> Run(string data, string[] words)
    {
        var configuration = new InvocationConfiguration { Output = new StringWriter { NewLine = "\n" }, Error = new StringWriter { NewLine = "\n" } };
        var parsed = KitsCommand.Make(TimeProvider.System).Parse([.. words, "--data", data]);
        Assert.Empty(parsed.Errors);
        return (await parsed.InvokeAsync(configuration, Token), configuration.Output.ToString()!, configuration.Error.ToString()!);
    }
}
