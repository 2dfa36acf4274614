using Microsoft.Extensions.Time.Testing;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Ceilings;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Tests.Ceilings;

public sealed class SoundCeilingsTests
{
    private static readonly AudiometricFrequency _oneKilohertz = AudiometricFrequency.FromHertz(1000);
    private static readonly SessionId _session = SessionId.New();
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));

    private SoundCeilings Ceilings(Gear? gear = null) => new(gear ?? ValidGear(), _time);

    private Gear ValidGear(bool expired = false) => new(Provisioner.Kit, Provisioner.Certificate(DateOnly.FromDateTime(_time.GetUtcNow().Date), expired));

    private static StepOrder Order(double maximum = 120, SessionId? session = null) =>
        new(session ?? _session, StepId.New(), 1, 1, 1, maximum, 1, [], new CheckKitStep());

    private static AllowedSound At(SoundCeilings ceilings, double level, double maximum = 120, int hertz = 1000, double durationMs = 1000, SessionId? session = null) =>
        ceilings.Check(Order(maximum, session), Ear.Right, AudiometricFrequency.FromHertz(hertz), HearingLevel.FromDecibels(level), durationMs);

    [Fact]
    public void AnAllowedLevelGetsTheAmplitudeOfTheCalibration()
    {
        // 40 dB HL + 5.5 dB (ISO 389-8, circumaural at 1 kHz) - 130.8 dB SPL at full scale = -85.3 dB re full scale
        var allowed = At(Ceilings(), 40);

        Assert.Null(allowed.Refusal);
        Assert.Equal(-85.3, 20 * Math.Log10(allowed.PeakAmplitude), 6);
    }

    [Fact]
    public void TheHubMayLowerTheCeilingAndNeverRaiseIt()
    {
        var ceilings = Ceilings();
        ceilings.NotePresented(_session, HearingLevel.FromDecibels(100), whole: true);

        Assert.Equal(RefusalCodes.OverCeiling, At(ceilings, 85, maximum: 80).Refusal?.Code);
        Assert.Null(At(ceilings, 80, maximum: 80).Refusal);
        // 8 kHz: this kit's own ceiling is 100 dB HL, whatever the hub allows
        Assert.Equal(RefusalCodes.OverCeiling, At(ceilings, 105, maximum: 500, hertz: 8000).Refusal?.Code);
        Assert.Equal(RefusalCodes.OverCeiling, At(ceilings, 40, maximum: double.NaN).Refusal?.Code);
    }

    [Fact]
    public void ASteepRiseIsRefusedAndASessionBeginsFromTheFreeRange()
    {
        var ceilings = Ceilings();
        Assert.Equal(RefusalCodes.RiseTooSteep, At(ceilings, 55).Refusal?.Code);

        ceilings.NotePresented(_session, HearingLevel.FromDecibels(50), whole: true);
        Assert.Null(At(ceilings, 70).Refusal);
        Assert.Equal(RefusalCodes.RiseTooSteep, At(ceilings, 75).Refusal?.Code);
        Assert.Equal(RefusalCodes.RiseTooSteep, At(ceilings, 70, session: SessionId.New()).Refusal?.Code);
    }

    [Fact]
    public void AToneBrokenOffMakesNoRoomForALouderOne()
    {
        var ceilings = Ceilings();
        ceilings.NotePresented(_session, HearingLevel.FromDecibels(50), whole: false);
        Assert.Equal(RefusalCodes.RiseTooSteep, At(ceilings, 70).Refusal?.Code);

        ceilings.NotePresented(_session, HearingLevel.FromDecibels(60), whole: true);
        ceilings.NotePresented(_session, HearingLevel.FromDecibels(80), whole: false);
        Assert.Null(At(ceilings, 80).Refusal);
        Assert.Equal(RefusalCodes.RiseTooSteep, At(ceilings, 85).Refusal?.Code);

        // it may have been heard before it was broken off
        ceilings.NotePresented(_session, HearingLevel.FromDecibels(35), whole: false);
        Assert.Equal(RefusalCodes.RiseTooSteep, At(ceilings, 60).Refusal?.Code);
    }

    [Fact]
    public void TooLongOrTooLowIsRefused()
    {
        Assert.Equal(RefusalCodes.OverCeiling, At(Ceilings(), 40, durationMs: 10_001).Refusal?.Code);
        Assert.Equal(RefusalCodes.Invalid, At(Ceilings(), -15).Refusal?.Code);
    }

    [Fact]
    public void WithoutAValidCertificateOfThisGearThereIsNoSound()
    {
        Assert.Equal(RefusalCodes.CertificateMissing, At(Ceilings(new Gear(Provisioner.Kit, null)), 40).Refusal?.Code);
        Assert.Equal(RefusalCodes.CertificateExpired, At(Ceilings(ValidGear(expired: true)), 40).Refusal?.Code);
        Assert.Equal(RefusalCodes.CertificateMismatch, At(Ceilings(ValidGear() with { Kit = Provisioner.Kit with { TransducerSerial = "OTHER" } }), 40).Refusal?.Code);
        Assert.Equal(RefusalCodes.CertificateMismatch, At(Ceilings(ValidGear() with { Kit = Provisioner.Kit with { TransducerKind = Audiology.Levels.TransducerKind.Insert } }), 40).Refusal?.Code);
    }

    [Fact]
    public void ASearchEndsAtTheLowestOfAllCeilings()
    {
        Assert.Equal(100, Ceilings().HighestDbHl(Order(maximum: 100), Ear.Right, _oneKilohertz));
        Assert.Equal(120, Ceilings().HighestDbHl(Order(maximum: 500), Ear.Right, _oneKilohertz));
        Assert.Equal(70, Ceilings().HighestDbHl(Order(maximum: 500), Ear.Right, AudiometricFrequency.FromHertz(125)));
        Assert.Null(Ceilings(new Gear(Provisioner.Kit, null)).HighestDbHl(Order(), Ear.Right, _oneKilohertz));
    }

    [Fact]
    public void AMaskerGetsTheLevelOfItsEffectiveMasking()
    {
        var ceilings = Ceilings();
        var allowed = Masker(ceilings, 40);

        // 40 dB EM + 5.5 dB (ISO 389-8, circumaural at 1 kHz) + 6 dB (ISO 389-4, a third of an octave, from memory) - 130.8 dB SPL at full scale, whose root mean square lies 3.01 dB below 1
        Assert.Null(allowed.Refusal);
        Assert.Equal(40 + 5.5 + 6 - 130.8 - 3.0103, 20 * Math.Log10(allowed.Rms), 3);
        Assert.Equal(46, allowed.CeilingLevel.Decibels, 6);
    }

    [Fact]
    public void ALoudMaskerNeedsTheClinicianAndNoneGoesOverACeilingOrTheCalibration()
    {
        var ceilings = Ceilings();
        ceilings.NoteMasked(_session, Ear.Right, HearingLevel.FromDecibels(90), whole: true);

        Assert.Null(Masker(ceilings, 80, maximum: 100).Refusal);
        Assert.Equal(RefusalCodes.NotConfirmedLoud, Masker(ceilings, 85, maximum: 100).Refusal?.Code);
        Assert.Null(Masker(ceilings, 85, maximum: 120).Refusal);

        // a hub that lowers the ceiling lowers it for the masker too: 60 dB EM is as loud as a tone of 66 dB HL
        Assert.Equal(RefusalCodes.OverCeiling, Masker(ceilings, 60, maximum: 65).Refusal?.Code);

        // the calibration reaches 120 dB HL with a tone, whose peaks are 9 dB lower than those of a noise of the same level
        ceilings.NoteMasked(_session, Ear.Right, HearingLevel.FromDecibels(105), whole: true);
        Assert.Equal(RefusalCodes.OverCeiling, Masker(ceilings, 110, maximum: 120).Refusal?.Code);
        Assert.Equal(RefusalCodes.Invalid, Masker(ceilings, double.NaN).Refusal?.Code);
        Assert.Equal(RefusalCodes.CertificateExpired, Masker(Ceilings(ValidGear(expired: true)), 40).Refusal?.Code);
    }

    [Fact]
    public void AMaskerMayNotStandFarOutOfWhatWasHeardBefore()
    {
        var ceilings = Ceilings();
        Assert.Equal(RefusalCodes.RiseTooSteep, Masker(ceilings, 65).Refusal?.Code);

        ceilings.NoteMasked(_session, Ear.Right, Masker(ceilings, 55).CeilingLevel, whole: true);
        Assert.Null(Masker(ceilings, 75).Refusal);
        Assert.Equal(RefusalCodes.RiseTooSteep, Masker(ceilings, 80).Refusal?.Code);
        Assert.Equal(RefusalCodes.RiseTooSteep, At(ceilings, 70).Refusal?.Code);
    }

    private static AllowedMasker Masker(SoundCeilings ceilings, double levelDbEm, double maximum = 100) =>
        ceilings.CheckMasker(Order(maximum), Ear.Right, _oneKilohertz, levelDbEm);

    /// <summary>Nothing senses which plug is in: what is meant for the vibrator must not be loud in an earphone. 60 dB HL at 1 kHz on the mastoid is 102.5 dB re 1 µN (ISO 389-3).</summary>
    [Fact]
    public void ALevelByBoneIsBoundedByWhatItWouldBeInAnEarphoneOfTheSameChannel()
    {
        var gear = ValidGear() with { BoneCalibration = Provisioner.BoneCertificate(DateOnly.FromDateTime(_time.GetUtcNow().Date), expired: false) };
        var weak = gear with { BoneCalibration = gear.BoneCalibration! with { Entries = [.. gear.BoneCalibration.Entries.Select(entry => entry with { SplAtFullScaleDb = 110, MaximumDbHl = entry.FrequencyHz == 1000 ? 60 : Math.Min(entry.MaximumDbHl, 40) })] } };

        Assert.Null(Ceilings(gear).Check(Order(100), Ear.Right, _oneKilohertz, HearingLevel.FromDecibels(40), 1000, ConductionRoute.BoneMastoid).Refusal);

        // 82.5 - 110 dB of full scale is 103.3 dB SPL in the right earphone (130.8 at full scale), 97.8 dB HL (ISO 389-8): 40 dB HL is the most without a confirmation.
        Assert.Null(Ceilings(weak).Check(Order(100), Ear.Right, _oneKilohertz, HearingLevel.FromDecibels(40), 1000, ConductionRoute.BoneMastoid).Refusal);
        Assert.Equal(RefusalCodes.OverCeiling, Ceilings(weak).Check(Order(100), Ear.Right, _oneKilohertz, HearingLevel.FromDecibels(45), 1000, ConductionRoute.BoneMastoid).Refusal?.Code);
        Assert.Equal(40, Ceilings(weak).HighestDbHl(Order(100), Ear.Right, _oneKilohertz, ConductionRoute.BoneMastoid));
    }
}
