using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Hosting;

/// <summary>A mistaken command line gets one sentence for each mistake, in the user's words.</summary>
public sealed class CommandMistakeTests
{
    public static TheoryData<string, string> Mistakes => new()
    {
        { "", "The first word must be a verb (run, provision, calibrate, version, devices, play, verify), and none was given." },
        { "sing", "The first word must be a verb (run, provision, calibrate, version, devices, play, verify), and \"sing\" is not one." },
        { "play --stimulus foo --out x", "--stimulus must be tone, warble, narrowband, speech, white, pink or silence, not \"foo\"." },
        { "play --stimulus 3 --out x", "--stimulus must be tone, warble, narrowband, speech, white, pink or silence, not \"3\"." },
        { "play --stimulus tone --ear x --out x", "--ear must be left, right or both, not \"x\"." },
        { "play --stimulus tone --shape round --out x", "--shape must be steady or pulsed, not \"round\"." },
        { "play --stimulus tone --level 20dB --out x", "--level must be a number, with a point and without a unit, not \"20dB\"." },
        { "play --stimulus tone --seed 1.5 --out x", "--seed must be a whole number, not \"1.5\"." },
        { "play --stimulus tone --masker loud --out x", "--masker must be a number, with a point and without a unit, not \"loud\"." },
        { "play --out x", "--stimulus is missing: tone, warble, narrowband, speech, white, pink or silence." },
        { "play --stimulus tone --stimulus warble --out x", "--stimulus can be given only once." },
        { "play --stimulus tone --out x --nonsense", "\"--nonsense\" is not known to play; see dotnet run --project src/Site.Agent -- play --help" },
        { "verify --out x", "verify plays at the highest levels: take the transducer off everybody, then add --nobody-wears." },
        { "verify --nobody-wears", "--out is missing: Folder for report.html and report.json." },
        { "verify --nobody-wears --out", "--out needs a value: Folder for report.html and report.json." },
        { "calibrate --data x --use maybe", "--use must be moved or fixed, not \"maybe\"." },
        { "provision --data x --kit real", "--kit must be simulated, not \"real\"." },
        { "provision --data x --kit simulated --certificate none", "--certificate must be valid, expired or missing, not \"none\"." },
        { "provision --data x --kit simulated --number two", "--number must be a whole number, not \"two\"." },
        { "provision --data x --kit simulated --number 0", "--number must be from 1 to 9999." },
        { "run --hub http://hub --data x --listener-sd wide", "--listener-sd must be a number, with a point and without a unit, not \"wide\"." },
        { "run --hub http://hub --data x --listener-sd 11", "--listener-sd must be a number from 0 to 10 dB." },
        { "run --hub http://hub --data x --listener-sd NaN", "--listener-sd must be a number from 0 to 10 dB." },
        { "run --hub foo --data x", "--hub must be an address that begins with http:// or https://." },
        { "run --hub http://hub --data x --pace slow", "--pace must be realtime or fast, not \"slow\"." },
        { "run --hub http://hub --data x --assistant robot", "--assistant must be none or scripted, not \"robot\"." },
    };

    /// <summary>Mistakes seen only when the values are taken together or tried; {0} is a folder, {1} a file in it.</summary>
    public static TheoryData<string, string> Refused => new()
    {
        { "play --stimulus tone --duration 5 --out {0}/x.wav", "--duration: The duration must be 100 to 60000 ms, not 5 ms." },
        { "play --stimulus tone --level 3 --out {0}/x.wav", "--level of tone must be 0.0 dB of digital full scale or less, so that its peaks fit, not 3." },
        { "play --stimulus tone --ear left --masker 3 --out {0}/x.wav", "--masker must be -12.1 dB of digital full scale or less, so that its peaks fit, not 3." },
        { "play --stimulus tone --masker -40 --out {0}/x.wav", "--masker puts noise into the other ear: choose --ear left or --ear right." },
        { "play --stimulus tone --frequency 30000 --out {0}/x.wav", "--frequency of tone must be above 0 and below 24000 Hz, not 30000." },
        { "play --stimulus warble --frequency 23000 --out {0}/x.wav", "--frequency of warble must be above 0 and below 22852 Hz, not 23000." },
        { "play --stimulus narrowband --frequency 20000 --out {0}/x.wav", "--frequency must be an audiometric one, for a narrow band of noise lies around it: 125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000, 9000, 10000, 11200, 12500, 14000, 16000 Hz, not 20000." },
        { "play --stimulus pink --frequency 1000 --out {0}/x.wav", "--frequency does not apply to pink; leave it out." },
        { "play --stimulus silence --shape pulsed --out {0}/x.wav", "--shape does not apply to silence; leave it out." },
        { "play --stimulus tone --out {0}", "--out must be a file, and {0} is a folder. Name a file in it, e.g. {0}/sound.wav." },
        { "play --stimulus tone --out {0}/none/x.wav", "--out must be a file in a folder that is there, and there is no folder {0}/none. Make it, or name another." },
        { "verify --nobody-wears --out {1}", "--out must be a folder, and {1} is a file. Name another. Nothing was played." },
        { "calibrate --data {0} --accept", "--accept needs --import with the certificate to put in place. Nothing was changed." },
        { "calibrate --data {0} --import {1} --confirmed", "--confirmed needs --accept, which puts the certificate in place. Nothing was changed." },
    };

    [Theory]
    [MemberData(nameof(Refused))]
    public async Task AMistakeInTheValuesTogetherIsOneSentenceAndExitCodeOneToo(string line, string sentence)
    {
        using var folder = new TempFolder();
        var file = folder.Inside("a-file");
        await File.WriteAllTextAsync(file, "kept", TestContext.Current.CancellationToken);
        string Fill(string text) => text.Replace("{0}", folder.Path, StringComparison.Ordinal).Replace("{1}", file, StringComparison.Ordinal);
        var parsed = AgentCommands.Root().Parse(Fill(line).Split(' '));
        using var output = new StringWriter();
        using var error = new StringWriter();
        (parsed.InvocationConfiguration.Output, parsed.InvocationConfiguration.Error) = (output, error);

        Assert.Equal(AgentCommands.BadInputExitCode, await CommandMistakes.InvokeAsync(parsed, TestContext.Current.CancellationToken));

        Assert.Equal(Fill(sentence) + Environment.NewLine, error.ToString());
        Assert.Empty(output.ToString());
        Assert.Equal([file], Directory.GetFileSystemEntries(folder.Path));
        Assert.Equal("kept", await File.ReadAllTextAsync(file, TestContext.Current.CancellationToken));
    }

    [Theory]
    [InlineData("a-file/report", "cannot be written")]
    [InlineData("blocked", "cannot be written")]
    public void AFolderThatCannotTakeTheReportIsRefusedBeforeAnythingIsPlayed(string wanted, string words)
    {
        using var folder = new TempFolder();
        File.WriteAllText(folder.Inside("a-file"), "kept");
        Directory.CreateDirectory(folder.Inside("blocked/report.html"));

        var mistake = Assert.Throws<CommandMistakeException>(() => OutPlaces.NeedReportFolder(folder.Inside(wanted)));

        Assert.Contains(words, mistake.Message, StringComparison.Ordinal);
        Assert.Contains(folder.Inside(wanted), mistake.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void AFolderThatCanTakeTheReportIsMadeAndAReportInItIsLeftAsItIs()
    {
        using var folder = new TempFolder();
        OutPlaces.NeedReportFolder(folder.Inside("new/report"));
        Assert.Empty(Directory.GetFiles(folder.Inside("new/report")));
        File.WriteAllText(folder.Inside("new/report/report.html"), "an earlier one");

        OutPlaces.NeedReportFolder(folder.Inside("new/report"));

        Assert.Equal("an earlier one", File.ReadAllText(Assert.Single(Directory.GetFiles(folder.Inside("new/report")))));
    }

    [Theory]
    [MemberData(nameof(Mistakes))]
    public async Task AMistakeIsOneSentenceAndExitCodeOne(string line, string sentence)
    {
        var parsed = AgentCommands.Root().Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries));
        using var output = new StringWriter();
        using var error = new StringWriter();
        (parsed.InvocationConfiguration.Output, parsed.InvocationConfiguration.Error) = (output, error);

        Assert.Equal(AgentCommands.BadInputExitCode, await CommandMistakes.InvokeAsync(parsed, TestContext.Current.CancellationToken));

        Assert.Equal(sentence + Environment.NewLine, error.ToString());
        Assert.Empty(output.ToString());
    }

    [Fact]
    public void EveryMistakeIsNamedAtOnce()
    {
        var sentences = CommandMistakes.Sentences(AgentCommands.Root().Parse(["play", "--ear", "x", "--level", "y"]));

        Assert.Equal(["--stimulus", "--out", "--level", "--ear"], sentences.Select(sentence => sentence.Split(' ')[0]));
    }

    [Theory]
    [InlineData("play --stimulus NARROWBAND --level -30.5 --ear Left --masker -40 --out x")]
    [InlineData("calibrate --data x --use fixed")]
    [InlineData("provision --data x --kit simulated --certificate expired --number 7")]
    [InlineData("run --hub http://hub --data x --pace fast --assistant scripted --listener-sd 2.5 --seed 9")]
    public void WhatIsRightHasNoMistake(string line) => Assert.Empty(AgentCommands.Root().Parse(line.Split(' ')).Errors);

    [Fact]
    public async Task HelpIsStillHelp()
    {
        var parsed = AgentCommands.Root().Parse(["play", "--help"]);
        using var output = new StringWriter();
        parsed.InvocationConfiguration.Output = output;

        Assert.Equal(0, await CommandMistakes.InvokeAsync(parsed, TestContext.Current.CancellationToken));
        Assert.Contains("--stimulus <stimulus>", output.ToString(), StringComparison.Ordinal);
        Assert.DoesNotContain("NarrowBand", output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void TheCertificatesOfASimulatedKitAreListedInTheHelp()
    {
        var provision = AgentCommands.Root().Subcommands.Single(command => command.Name == "provision");

        var description = provision.Options.Single(option => option.Name == "--certificate").Description!;

        Assert.All(Enum.GetNames<CertificateChoice>(), name => Assert.Contains(name.ToLowerInvariant(), description, StringComparison.Ordinal));
    }
}
