using TeleHearing.Site.Agent.Hosting;

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
        { "run --hub foo --data x", "--hub must be an address that begins with http:// or https://." },
        { "run --hub http://hub --data x --pace slow", "--pace must be realtime or fast, not \"slow\"." },
        { "run --hub http://hub --data x --assistant robot", "--assistant must be none or scripted, not \"robot\"." },
    };

    [Theory]
    [MemberData(nameof(Mistakes))]
    public async Task AMistakeIsOneSentenceAndExitCodeOne(string line, string sentence)
    {
        var parsed = AgentCommands.Root().Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries));
        using var output = new StringWriter();
        using var error = new StringWriter();
        (parsed.InvocationConfiguration.Output, parsed.InvocationConfiguration.Error) = (output, error);

        Assert.Equal(1, await CommandMistakes.InvokeAsync(parsed, TestContext.Current.CancellationToken));

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
}
