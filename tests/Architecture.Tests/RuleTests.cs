using System.Reflection;
using System.Text.RegularExpressions;

namespace TeleHearing.Architecture.Tests;

/// <summary>Rules of the design that a compiler does not hold.</summary>
public sealed partial class RuleTests
{
    [Theory]
    [InlineData("Audiology")]
    [InlineData("Logistics")]
    public void PureProjectsDoNoInputOrOutputAndReadNoClock(string project)
    {
        string[] forbidden = ["System.Net", "System.Console", "System.IO.FileSystem", "System.Diagnostics.Process", "Microsoft."];
        var used = Assembly.Load($"TeleHearing.{project}").GetReferencedAssemblies().Select(reference => reference.Name!);

        Assert.DoesNotContain(used, name => forbidden.Any(prefix => name.StartsWith(prefix, StringComparison.Ordinal)));
        Assert.DoesNotContain(SourceLines($"src/{project}"), line => ClockOrFile().IsMatch(line.Text));
    }

    [Fact]
    public void OnlyTheBroadcasterSpeaksToConsoles()
    {
        var speakers = SourceLines("src/Hub")
            .Where(line => line.Text.Contains("IHubContext<ConsoleHub", StringComparison.Ordinal))
            .Select(line => Path.GetFileNameWithoutExtension(line.File).Split('.')[0])
            .Distinct();

        Assert.Equal(["Broadcaster"], speakers);
    }

    [Fact]
    public void EachStateMachineIsBuiltInOneFile()
    {
        var files = SourceLines("src/Hub")
            .Where(line => line.Text.Contains("new StateMachine<", StringComparison.Ordinal))
            .Select(line => Path.GetFileName(line.File))
            .Distinct()
            .Order(StringComparer.Ordinal);

        Assert.Equal(["KitMachine.cs", "SessionMachine.cs"], files);
    }

    [Fact]
    public void TheCommandLibraryIsRegisteredInOneFile()
    {
        var files = SourceLines("src/Hub")
            .Where(line => line.Text.Contains("ServiceFactory", StringComparison.Ordinal))
            .Select(line => Path.GetFileName(line.File))
            .Distinct();

        Assert.Single(files);
    }

    [Fact]
    public void TheKitScreenHasNoWordForALevelOrASide()
    {
        // The screen may name ears where the person answers or where an earphone goes, never decibels or frequencies.
        var found = SourceLines("src/Site.Agent/Screen").Where(line => LevelWords().IsMatch(line.Text));

        Assert.Empty(found.Select(line => $"{line.File}: {line.Text.Trim()}"));
    }

    [Fact]
    public void SuppressedWarningsSayWhy()
    {
        var bare = SourceLines("src").Where(line => line.Text.Contains("#pragma warning disable", StringComparison.Ordinal) && !line.Text.Contains("//", StringComparison.Ordinal));

        Assert.Empty(bare.Select(line => $"{line.File}: {line.Text.Trim()}"));
    }

    [GeneratedRegex(@"\b(DateTime(Offset)?\.(Utc)?Now|Stopwatch|File\.|Directory\.|Console\.|HttpClient)\b")]
    private static partial Regex ClockOrFile();

    [GeneratedRegex(@"\b(LevelDbHl|FrequencyHz|dB HL|decibel)\b", RegexOptions.IgnoreCase)]
    private static partial Regex LevelWords();

    private static IEnumerable<(string File, string Text)> SourceLines(string folder) =>
        from file in Directory.EnumerateFiles(Path.Combine(Repository.Root, folder), "*.*", SearchOption.AllDirectories)
        where file.EndsWith(".cs", StringComparison.Ordinal) || file.EndsWith(".razor", StringComparison.Ordinal)
        where !file.Contains($"{Path.DirectorySeparatorChar}obj{Path.DirectorySeparatorChar}", StringComparison.Ordinal)
        from text in File.ReadLines(file)
        select (file, text);
}
