using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Tests.Audio;

public sealed class SamplePartsTests
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    public static TheoryData<string> Layouts => [.. Enum.GetNames<SampleLayout>()];

    [Theory]
    [MemberData(nameof(Layouts))]
    public void SamplesComeBackToHalfAStepOfTheirForm(string name)
    {
        var layout = Enum.Parse<SampleLayout>(name);
        float[] samples = [0, 1e-6f, -1e-6f, 0.5f, -0.25f, 0.999f, -1f, 1f];
        var bytes = new byte[samples.Length * SampleForms.Bytes(layout)];
        var back = new float[samples.Length];

        SampleForms.Encode(samples, layout, bytes);
        SampleForms.Decode(bytes, layout, back);

        var step = layout switch { SampleLayout.Float32 => 0, SampleLayout.Integer32 => 6e-8, _ => 1 / 8388608.0 };
        Assert.All(samples.Zip(back), pair => Assert.Equal(pair.First, pair.Second, step));
    }

    [Fact]
    public void IntegersAreLittleEndianAndStopAtFullScale()
    {
        var three = new byte[6];
        SampleForms.Encode([-1f, 1f], SampleLayout.Integer24InThree, three);
        Assert.Equal([0, 0, 0x80, 0xFF, 0xFF, 0x7F], three);

        var four = new byte[8];
        SampleForms.Encode([-1f, 1f], SampleLayout.Integer32, four);
        Assert.Equal([0, 0, 0, 0x80, 0xFF, 0xFF, 0xFF, 0x7F], four);
    }

    [Fact]
    public void AQuietToneSurvives24BitsButItsFormIsWhatCounts()
    {
        var bytes = new byte[3];
        var back = new float[1];
        SampleForms.Encode([1e-5f], SampleLayout.Integer24InThree, bytes);
        SampleForms.Decode(bytes, SampleLayout.Integer24InThree, back);

        // -100 dB of full scale: 84 steps of 24 bits, a third of one step of 16 bits
        Assert.Equal(84 / 8388608f, back[0]);
    }

    [Fact]
    public void TheNewestSamplesOfAMicrophoneStayWhenNobodyFetchesThem()
    {
        var queue = new SampleQueue(8);
        queue.Add([1, -1, 2, -2, 3, -3], channels: 2);
        queue.Add([4, 5, 6, 7, 8, 9, 10], channels: 1);

        var taken = new float[4];
        Assert.True(queue.TryTake(taken));
        Assert.Equal([3, 4, 5, 6], taken);
        Assert.Equal(2, queue.Dropped);
        Assert.True(queue.TryTake(taken));
        Assert.False(queue.TryTake(taken));
    }

    [Fact]
    public void ADriverThatFindsTooLittleGetsSilenceAndItCounts()
    {
        using var queue = new BlockQueue(2);
        var fetched = new float[960];
        queue.Take(fetched);
        Assert.Equal(0, queue.Underruns);

        var block = Enumerable.Repeat(0.5f, 960).ToArray();
        Assert.True(queue.TryAdd(block, TimeSpan.Zero, Cancel));
        Assert.True(queue.TryAdd(block, TimeSpan.Zero, Cancel));
        Assert.Equal(960, queue.HeldFrames);
        queue.Take(fetched);
        Assert.All(fetched, sample => Assert.Equal(0.5f, sample));
        queue.Take(fetched.AsSpan(0, 480));
        queue.Take(fetched);

        Assert.All(fetched[..480], sample => Assert.Equal(0.5f, sample));
        Assert.All(fetched[480..], sample => Assert.Equal(0f, sample));
        Assert.Equal(1, queue.Underruns);
    }

    [Fact]
    public void AFullQueueHoldsTheLoopUpToItsLimit()
    {
        using var queue = new BlockQueue(1);
        var block = new float[960];
        Assert.True(queue.TryAdd(block, TimeSpan.Zero, Cancel));

        Assert.False(queue.TryAdd(block, TimeSpan.Zero, Cancel));
    }
}
