using System.Runtime.InteropServices;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Audio.Alsa;
using TeleHearing.Sound.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Sound.Tests;

/// <summary>The binding to the kernel's sound library, without a sound card: over its file device, and over its bridge to the sound server.</summary>
public sealed class AlsaTests
{
    private static readonly ToneSynthesizer _tone = new(new ToneSpec(1000, 0.01, ToneShape.Steady, 500, AudioFormat.SampleRateHz));

    private static Presentation Tone => new() { LeadFrames = 1000, BodyFrames = _tone.TotalFrames, TailFrames = 1000, Tone = _tone, Ear = Ear.Right, NeedsLease = true };

    [Fact]
    public async Task EverySampleReachesTheDeviceAsItWasMade()
    {
        using var folder = new TempFolder();
        var path = folder.Inside("played.raw");
        await using (var running = new RunningEngine(AlsaOutput.Open($"file:FILE={path},FORMAT=raw", card: null, latencyMs: 100)))
        {
            Assert.Equal(PresentationEnd.Complete, (await running.PresentAsync(Tone)).End);
        }

        var heard = MemoryMarshal.Cast<byte, float>(await File.ReadAllBytesAsync(path, TestContext.Current.CancellationToken)).ToArray();
        var expected = new float[_tone.TotalFrames];
        _tone.Render(0, expected);
        var first = Array.FindIndex(expected, sample => sample != 0);
        var start = (Array.FindIndex(heard, sample => sample != 0) / 2) - first;
        Assert.All(Enumerable.Range(0, expected.Length), frame => Assert.Equal(expected[frame], heard[((start + frame) * 2) + 1]));
        Assert.All(Enumerable.Range(0, heard.Length / 2), frame => Assert.Equal(0f, heard[frame * 2]));
    }

    [Fact]
    public void ADeviceThatIsNotThereIsRefusedWithItsMend()
    {
        var fault = Assert.Throws<DeviceFaultException>(() => AlsaOutput.Open("hw:CARD=nowhere,DEV=0", 60)).Fault;

        Assert.Contains("hw:CARD=nowhere", fault.Sentence, StringComparison.Ordinal);
        Assert.Contains("verb devices", fault.Mend, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("hw:CARD=Kit,DEV=0", "hw:Kit")]
    [InlineData("hw:Kit,0", "hw:Kit")]
    [InlineData("hw:0", "hw:0")]
    public void TheMixerOfADeviceIsThatOfItsCard(string device, string card) => Assert.Equal(card, AlsaNames.Card(device));

    [Fact]
    public async Task OverTheBridgeToTheServerATonePlaysAndAMovedMixerEndsIt()
    {
        await using var server = await SoundServer.StartAsync();
        Assert.Equal(0, SetVariable("PULSE_SERVER", server.Address, 1));
        await using var running = new RunningEngine(AlsaOutput.Open("pulse", card: "pulse", latencyMs: 400));
        var played = await running.PresentAsync(Tone);
        Assert.True(played.End == PresentationEnd.Complete, played.Fault?.ToString());

        var presenting = running.PresentAsync(Tone with { TailFrames = AudioFormat.FramesOf(20_000) });
        await server.ControlAsync("set-sink-volume", SoundServer.Sink, "50%");
        var result = await presenting;

        Assert.Equal(PresentationEnd.DeviceFault, result.End);
        Assert.Equal(DeviceFaultKind.Mendable, result.Fault?.Kind);
        Assert.Contains("Master", result.Fault?.Sentence, StringComparison.Ordinal);
    }

    /// <summary>The bridge takes the server's address from the process's own environment, which .NET does not change.</summary>
    [DllImport("libc", EntryPoint = "setenv", CharSet = CharSet.Ansi)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int SetVariable(string name, string value, int overwrite);
}
