using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>Wrong input to the programs: a sentence that says what, where and what is wanted, exit code 2, and nothing started.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class BadInputTests
{
    private const string Header = "ear,frequency_hz,air_db_hl,bone_db_hl\n";

    public static TheoryData<string, string, string[]> WrongListeners => new()
    {
        { "a level that is no number", Header + "right,1000,20,\nleft,1000,loud,\n", ["line 3", "air_db_hl", "loud"] },
        { "a level that no ear has", Header + "right,1000,900,\n", ["line 2", "air_db_hl", "900"] },
        { "an ear that nobody has", Header + "middle,1000,20,\n", ["line 2", "ear", "middle", "left or right"] },
        { "a frequency that is not tested", Header + "right,1000,20,\nright,1100,20,\n", ["line 3", "frequency_hz", "1100", "1000"] },
        { "a missing cell", Header + "right,1000,20\n", ["line 2", "4"] },
        { "a row twice", Header + "right,1000,20,\nright,1000,25,\n", ["line 3"] },
        { "another header", "side,hz,db\nright,1000,20\n", ["line 1", "ear,frequency_hz,air_db_hl,bone_db_hl"] },
        { "no rows", Header, ["no rows"] },
        { "nothing at all", "", ["no rows"] },
        { "not-a-number", Header + "right,1000,NaN,\n", ["line 2", "air_db_hl", "NaN"] },
        { "bytes that are no text", "\0\0\0", ["line 1"] },
    };

    [Theory]
    [MemberData(nameof(WrongListeners))]
    public async Task AMalformedListenerFileIsRefusedWithItsPlace(string what, string csv, string[] said)
    {
        var rehearsed = await Rehearsed.Run(csv, 1, [], TestContext.Current.CancellationToken);

        Assert.True(rehearsed.ExitCode == 2, $"{what}: exit {rehearsed.ExitCode}\n{rehearsed.Text}");
        Assert.All(said, part => Assert.Contains(part, rehearsed.Text, StringComparison.Ordinal));
        Assert.DoesNotContain("   at ", rehearsed.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AListenerFileThatIsNotThereIsNamed()
    {
        using var folder = new TempFolder();
        await Refused(["rehearse", "--listener", folder.Inside("absent.csv"), "--seed", "1", "--out", folder.Inside("out")], "There is no file", "absent.csv");
        Assert.False(Directory.Exists(folder.Inside("out")));
    }

    [Fact]
    public async Task AFolderInPlaceOfTheListenerFileIsCalledOne()
    {
        using var folder = new TempFolder();
        await Refused(["rehearse", "--listener", folder.Path, "--seed", "1", "--out", folder.Inside("out")], "is a folder, not a file");
    }

    [Fact]
    public async Task AnOutFolderThatCannotBeMadeIsNamed()
    {
        using var folder = new TempFolder();
        await File.WriteAllTextAsync(folder.Inside("listener.csv"), SessionRig.ShortListener, TestContext.Current.CancellationToken);
        await File.WriteAllTextAsync(folder.Inside("file"), "in the way", TestContext.Current.CancellationToken);
        await Refused(["rehearse", "--listener", folder.Inside("listener.csv"), "--seed", "1", "--out", folder.Inside("file/out")], "cannot be written", "file/out");
    }

    public static TheoryData<string, byte[]> WrongRooms
    {
        get
        {
            using var folder = new TempFolder();
            byte[] Made(int rateHz)
            {
                WavFile.Write(folder.Inside("room.wav"), new float[rateHz / 10], rateHz, channels: 1);
                return File.ReadAllBytes(folder.Inside("room.wav"));
            }

            return new TheoryData<string, byte[]>
            {
                { "no sound file", "once upon a time"u8.ToArray() },
                { "an empty file", [] },
                { "another sample rate", Made(44_100) },
                { "a header without samples", Made(48_000)[..44] },
            };
        }
    }

    [Theory]
    [MemberData(nameof(WrongRooms))]
    public async Task AWrongRoomFileIsRefused(string what, byte[] bytes)
    {
        using var folder = new TempFolder();
        await File.WriteAllBytesAsync(folder.Inside("room.wav"), bytes, TestContext.Current.CancellationToken);

        var rehearsed = await Rehearsed.Run(SessionRig.ShortListener, 1, ["--room", folder.Inside("room.wav")], TestContext.Current.CancellationToken);

        Assert.True(rehearsed.ExitCode == 2, $"{what}: exit {rehearsed.ExitCode}\n{rehearsed.Text}");
        Assert.Contains("room.wav", rehearsed.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", rehearsed.Text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--seed", "many", "whole number")]
    [InlineData("--rule", "four-of-six", "four-of-six")]
    [InlineData("--pace", "slow", "slow")]
    [InlineData("--listener-sd", "-1", "0 to 10 dB")]
    [InlineData("--listener-sd", "NaN", "0 to 10 dB")]
    public async Task AWrongOptionIsRefused(string option, string value, string said)
    {
        using var folder = new TempFolder();
        await File.WriteAllTextAsync(folder.Inside("listener.csv"), SessionRig.ShortListener, TestContext.Current.CancellationToken);
        string[] arguments = ["rehearse", "--listener", folder.Inside("listener.csv"), "--out", folder.Inside("out"), option, value];
        await Refused(option == "--seed" ? arguments : [.. arguments, "--seed", "1"], option, said);
    }

    [Fact]
    public async Task AnUnknownVerbIsRefused() => await Refused(["dance"], "dance");

    [Fact]
    public async Task AHubOnATakenPortSaysSo()
    {
        using var folder = new TempFolder();
        using var taken = FreePorts.Occupy(out var port);
        await Refused(["serve", "--data", folder.Path, "--urls", $"http://127.0.0.1:{port}"], "cannot listen", "--urls");
    }

    [Theory]
    [InlineData("nonsense")]
    [InlineData("ftp://localhost:5080")]
    public async Task AnAddressThatIsNoneIsNotBlamedOnAnotherProgram(string urls)
    {
        using var folder = new TempFolder();
        var said = await Refused(["serve", "--data", folder.Path, "--urls", urls], "cannot listen", "--urls http://localhost:5080");
        Assert.DoesNotContain("End the program", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ASecondHubOnTheSameFolderIsRefusedAndTheFirstGoesOn()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var first = await HubRig.Start(cancellation);

        await Refused(["serve", "--data", first.Data, "--urls", "http://127.0.0.1:0"], first.Data, "in use by a running hub", "--data");
        await Refused(["demo", "--data", Path.GetDirectoryName(first.Data)!], first.Data, "in use by a running hub");

        await using var link = await first.SignIn(cancellation);
        Assert.NotEmpty((await link.Board(cancellation)).Sessions);
    }

    private static async Task<string> Refused(string[] arguments, params string[] said)
    {
        await using var process = RealProcess.Dotnet(BuiltPrograms.Hub, arguments);
        var code = await process.WaitForExit(Limits.Start, TestContext.Current.CancellationToken);

        Assert.True(code == 2, $"exit {code}\n{process.Text()}");
        Assert.All(said, part => Assert.Contains(part, process.Text(), StringComparison.Ordinal));
        Assert.DoesNotContain("   at ", process.Text(), StringComparison.Ordinal);
        return process.Text();
    }
}
