using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>A kit without a valid calibration makes no sound, and the session does not get past its check.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class FaultyKitTests
{
    [Theory]
    [InlineData("expired")]
    [InlineData("missing")]
    public async Task AKitWithoutAValidCertificateStaysSilentAndTheCheckNamesIt(string certificate)
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start(certificate, "fast", cancellation);

        var end = await rig.Clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);

        Assert.False(end.Closed);
        Assert.Equal(SessionStage.KitCheck, end.View.Stage);
        var failed = Assert.Single(end.View.KitCheck!.Lines, check => check.Code == "certificate");
        Assert.False(failed.Passed);
        Assert.NotNull(failed.Mend);
        var advance = await rig.Link.Ask(new Advance(), cancellation);
        Assert.Equal(RefusalCodes.GateNotMet, advance.Refusal?.Code);
        var tone = await rig.Link.Ask(new OrderStep(new PresentToneStep(Ear.Right, 1000, 30, ToneShape.Steady, 1000), LoudConfirmed: false), cancellation);
        Assert.NotNull(tone.Refusal);
        Assert.All(WavFile.ReadFloats(rig.Agent.Recording), sample => Assert.Equal(0, sample));
    }
}
