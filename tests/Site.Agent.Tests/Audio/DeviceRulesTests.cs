using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Tests.Audio;

public sealed class DeviceRulesTests
{
    private static readonly DeviceState _fit = new("pulse:kit", "Kit output", SoundDirection.Output, 48_000, SampleForm.Integer24, 2, true, [100, 100], false, "headphones");

    [Theory]
    [InlineData(nameof(SampleForm.Float32))]
    [InlineData(nameof(SampleForm.Integer32))]
    [InlineData(nameof(SampleForm.Integer24))]
    public void AStereoDeviceAt48KilohertzWithFineSamplesIsFit(string form) => Assert.Null(DeviceRules.Unfit(_fit with { Form = Enum.Parse<SampleForm>(form) }));

    [Fact]
    public void EveryUnfitDeviceHasASentenceAndAMend()
    {
        DeviceState[] unfit =
        [
            _fit with { RateHz = 44_100 },
            _fit with { RateHz = 0 },
            _fit with { Form = SampleForm.Integer16 },
            _fit with { Form = SampleForm.Other },
            _fit with { Channels = 1 },
            _fit with { Channels = 6 },
            _fit with { LeftThenRight = false },
            _fit with { Direction = SoundDirection.Input, Channels = 4 },
        ];

        Assert.All(unfit, device =>
        {
            var fault = DeviceRules.Unfit(device);
            Assert.NotNull(fault);
            Assert.Equal(DeviceFaultKind.Lasting, fault.Kind);
            Assert.Contains("Kit output", fault.Sentence, StringComparison.Ordinal);
            Assert.EndsWith("start again.", fault.Mend, StringComparison.Ordinal);
        });
    }

    [Theory]
    [InlineData(100, 99.99)]
    [InlineData(153, 153)]
    [InlineData(0, 100)]
    public void AVolumeOffOneHundredOnAnyChannelIsAFaultThatCanBeMended(double left, double right)
    {
        var fault = DeviceRules.Mixer(_fit with { VolumesPercent = [left, right] });

        Assert.Equal(DeviceFaultKind.Mendable, fault?.Kind);
    }

    [Fact]
    public void AMuteIsAFault() => Assert.Contains("muted", DeviceRules.Mixer(_fit with { Muted = true })?.Sentence, StringComparison.Ordinal);

    [Fact]
    public void AnUntouchedMixerIsNone() => Assert.Null(DeviceRules.Mixer(_fit));
}
