using System.Runtime.InteropServices;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Audio;

public sealed class SoundFileTests
{
    [Fact]
    public void ARecordingHoldsExactlyWhatWasHandedOverAndWhen()
    {
        using var folder = new TempFolder();
        var path = folder.Inside("played.wav");
        var block = Enumerable.Range(0, 960).Select(value => value / 1000f).ToArray();
        using (var recorder = new Recorder(path, TimeProvider.System))
        {
            recorder.Add(0, block);
            recorder.Add(480, block);
        }

        var samples = WavFile.ReadFloats(path);
        var times = MemoryMarshal.Cast<byte, long>(File.ReadAllBytes(path + ".times")).ToArray();

        Assert.Equal([.. block, .. block], samples);
        Assert.Equal([0L, 480L], [times[0], times[2]]);
        Assert.True(times[1] <= times[3]);
    }

    [Fact]
    public void ARecordingOfAKilledProgramCanStillBeRead()
    {
        using var folder = new TempFolder();
        var path = folder.Inside("played.wav");
        using var recorder = new Recorder(path, TimeProvider.System);
        recorder.Add(0, new float[960]);
        File.Copy(path, folder.Inside("copy.wav"));

        // only the first of two channels is read
        Assert.Equal(480, WaveFile.ReadMono(folder.Inside("copy.wav")).Length);
    }

    [Fact]
    public void ASoundFileComesBackAsItWasWritten()
    {
        using var folder = new TempFolder();
        float[] samples = [0f, 0.25f, -0.5f, 1f];
        WavFile.Write(folder.Inside("room.wav"), samples, AudioFormat.SampleRateHz, 1);

        Assert.Equal(samples, WaveFile.ReadMono(folder.Inside("room.wav")));
    }

    [Fact]
    public void AFileThatIsNoSoundIsRefusedWithASentence()
    {
        using var folder = new TempFolder();
        File.WriteAllText(folder.Inside("not.wav"), "ear,frequency_hz");
        WavFile.Write(folder.Inside("slow.wav"), [0f], 44_100, 1);

        Assert.Contains("not a WAVE file", Assert.Throws<InvalidDataException>(() => WaveFile.ReadMono(folder.Inside("not.wav"))).Message, StringComparison.Ordinal);
        Assert.Contains("48000", Assert.Throws<InvalidDataException>(() => WaveFile.ReadMono(folder.Inside("slow.wav"))).Message, StringComparison.Ordinal);
    }
}
