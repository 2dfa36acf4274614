using System.Globalization;
using System.Text.Json;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Devices;

/// <summary>A laboratory's certificate put in place on a kit: what is shown, what is asked, what is refused, and that nothing is ever lost.</summary>
public sealed class CertificateImportTests : IDisposable
{
    private readonly TempFolder _folder = new();
    private readonly StringWriter _output = new();

    public CertificateImportTests() => Provisioner.Write(_folder.Path, CertificateChoice.Valid, TimeProvider.System);

    private static DateOnly Today => DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date);

    private string InUsePath => _folder.Inside(GearFiles.CalibrationFile);

    public void Dispose()
    {
        _output.Dispose();
        _folder.Dispose();
    }

    [Fact]
    public void TheExampleIsShownFirstAndPutInPlaceWhenToldTo()
    {
        var before = File.ReadAllText(InUsePath);

        Import(Example());

        Assert.Equal(before, File.ReadAllText(InUsePath));
        Assert.Contains("right  1000 Hz: 130.8 -> 131.0 dB (+0.2)", _output.ToString(), StringComparison.Ordinal);
        Assert.Contains("Add --accept", _output.ToString(), StringComparison.Ordinal);

        Import(Example(), accept: true);

        var record = GearFiles.LoadQuietly(_folder.Path).Calibration!;
        Assert.Equal(("ALA-2026-0417", 100.9, 22.4, "Alder Lane"), (record.CertificateId, record.PressureKPa!.Value, record.TemperatureC!.Value, record.Site));
        Assert.Empty(GearFiles.LoadQuietly(_folder.Path).Faults(TimeProvider.System));
        var kept = Assert.Single(Directory.GetFiles(_folder.Inside(CalibrationFolder.EarlierFolder)));
        Assert.Equal(before, File.ReadAllText(kept));
    }

    [Fact]
    public void TheCertificateOfTheVibratorGoesToItsOwnPlace()
    {
        var earphones = File.ReadAllText(InUsePath);

        Import(Example("certificate-bone.csv"), accept: true);

        var gear = GearFiles.LoadQuietly(_folder.Path);
        Assert.Equal(earphones, File.ReadAllText(InUsePath));
        Assert.Equal(("ALA-2026-0418", TransducerKind.BoneVibrator, Coupler.Iec60318Part6), (gear.BoneCalibration!.CertificateId, gear.BoneCalibration.TransducerKind, gear.BoneCalibration.Coupler));
        Assert.Empty(gear.BoneFaults(TimeProvider.System));
        Assert.Contains("force level at digital full scale", _output.ToString(), StringComparison.Ordinal);
    }

    /// <summary>ISO 389-3 belongs to the mechanical coupler, and nothing else does.</summary>
    [Theory]
    [InlineData("coupler,iec-60318-6", "coupler,iec-60318-4", "has no reference thresholds for a bone vibrator")]
    [InlineData("transducer_serial,SIM-BONE-0001", "transducer_serial,SIM-CIRC-0001", "this kit has transducer SIM-BONE-0001")]
    [InlineData("right,250,140.4,45", "right,250,140.4,80", "more than digital full scale reaches")]
    public void ACertificateOfTheVibratorThatCannotBeRightChangesNothing(string right, string wrong, string words)
    {
        var before = File.ReadAllText(_folder.Inside(GearFiles.BoneCalibrationFile));

        var fault = Assert.Throws<FatalFaultException>(() => Import(Example("certificate-bone.csv").Replace(right, wrong, StringComparison.Ordinal), accept: true, confirmed: true));

        Assert.Contains(words, fault.Message, StringComparison.Ordinal);
        Assert.Equal(before, File.ReadAllText(_folder.Inside(GearFiles.BoneCalibrationFile)));
    }

    [Fact]
    public void AKitWithoutAVibratorTakesNoCertificateForOne()
    {
        File.Delete(_folder.Inside(GearFiles.KitFile));
        GearFiles.WriteIfAbsent(_folder.Inside(GearFiles.KitFile), Provisioner.Kit with { BoneVibrator = null });

        var fault = Assert.Throws<FatalFaultException>(() => Import(Example("certificate-bone.csv"), accept: true));

        Assert.Contains("this kit has none", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void TheSameCertificateAgainChangesNothing()
    {
        Import(Example(), accept: true);
        Import(Example(), accept: true);

        Assert.Contains("in use already", _output.ToString(), StringComparison.Ordinal);
        Assert.Single(Directory.GetFiles(_folder.Inside(CalibrationFolder.EarlierFolder)));
    }

    public static TheoryData<string, string, string> Bad => new()
    {
        { "coupler,iec-60318-1-flat-plate", "coupler,iec-60318-5", "has no reference thresholds for circumaural earphones" },
        { "transducer_serial,SIM-CIRC-0001", "transducer_serial,SIM-CIRC-0002", "this kit has transducer SIM-CIRC-0001" },
        { "left,3000,", "left,2999,", "is not an audiometric frequency" },
        { "left,3000,129.9,120,0.7\n", "", "has no row for 3000 Hz" },
        { "right,1000,131.0", "right,1000,1310", "cannot be right" },
        { "right,1000,131.0", "right,2000,131.0", "is there already" },
        { "transducer_kind,circumaural", "transducer_kind,insert", "this kit has circumaural earphones" },
    };

    [Theory]
    [MemberData(nameof(Bad))]
    public void WhatCannotBeRightIsRefusedByLineAndNothingIsChanged(string right, string wrong, string words)
    {
        var before = File.ReadAllText(InUsePath);
        Assert.Contains(right, Example(), StringComparison.Ordinal);

        var fault = Assert.Throws<FatalFaultException>(() => Import(Example().Replace(right, wrong, StringComparison.Ordinal), accept: true, confirmed: true));

        Assert.Contains(words, fault.Message, StringComparison.Ordinal);
        Assert.Equal(wrong.Length > 0, fault.Message.Contains("line ", StringComparison.Ordinal));
        Assert.Equal(before, File.ReadAllText(InUsePath));
        Assert.False(Directory.Exists(_folder.Inside(CalibrationFolder.EarlierFolder)));
    }

    [Fact]
    public void ExchangedEarsAreAskedAboutBeforeAnythingIsPutInPlace()
    {
        var swapped = Example().Replace("right,", "middle,", StringComparison.Ordinal).Replace("left,", "right,", StringComparison.Ordinal).Replace("middle,", "left,", StringComparison.Ordinal);
        var before = File.ReadAllText(InUsePath);

        Assert.Throws<FatalFaultException>(() => Import(swapped, accept: true));

        Assert.Contains("Left and right look exchanged", _output.ToString(), StringComparison.Ordinal);
        Assert.Equal(before, File.ReadAllText(InUsePath));
        Import(swapped, accept: true, confirmed: true);
        Assert.NotEqual(before, File.ReadAllText(InUsePath));
    }

    [Fact]
    public void AnOddPointOfAFirstCertificateIsAskedAboutBeforeAnythingIsPutInPlace()
    {
        File.Delete(InUsePath);
        Import(Example());
        Assert.DoesNotContain("Question:", _output.ToString(), StringComparison.Ordinal);

        // 20 dB too low, and its highest level with it: the sounds there would be 20 dB too loud, and the file is whole in itself
        var odd = Example().Replace("left,1000,130.2,120,", "left,1000,110.2,100,", StringComparison.Ordinal);
        Assert.NotEqual(Example(), odd);
        Assert.Throws<FatalFaultException>(() => Import(odd, accept: true));

        Assert.Contains("Question: The ears differ by more than 10 dB: 1000 Hz, right 131.0 dB and left 110.2 dB.", _output.ToString(), StringComparison.Ordinal);
        Assert.Contains("Question: Points lie more than 15 dB off the line through their neighbours: left 1000 Hz, 110.2 dB, is 19.8 dB below.", _output.ToString(), StringComparison.Ordinal);
        Assert.False(File.Exists(InUsePath));
        Import(odd, accept: true, confirmed: true);
        Assert.True(File.Exists(InUsePath));
    }

    [Fact]
    public void ASerialKnownFromAnEarlierRecordWithAnotherUnitIsRefused()
    {
        var other = GearFiles.LoadQuietly(_folder.Path).Calibration! with { UnitSerial = "SIM-UNIT-0009", CertificateId = "OLD-1" };
        Directory.CreateDirectory(_folder.Inside(CalibrationFolder.EarlierFolder));
        File.WriteAllBytes(Path.Combine(_folder.Inside(CalibrationFolder.EarlierFolder), "until-20260101.json"), GearFiles.Serialize(other));

        var fault = Assert.Throws<FatalFaultException>(() => Import(Example(), accept: true));

        Assert.Contains("One serial number cannot be two transducers", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void ADiskThatFailsLeavesTheRecordInUseWhole()
    {
        var before = File.ReadAllText(InUsePath);
        var path = _folder.Inside("certificate.csv");
        File.WriteAllText(path, Example());
        var failing = new FailingFiles { Full = true };

        Assert.Throws<StorageFaultException>(() => new CertificateImport(_folder.Path, failing, TimeProvider.System, _output).Run(path, accept: true, confirmed: true));

        Assert.Equal(before, File.ReadAllText(InUsePath));
    }

    [Fact]
    public void AFileThatIsMissingOrNoCertificateIsOneClearLine()
    {
        Assert.Contains("There is no file", Assert.Throws<FatalFaultException>(() => Run(_folder.Inside("none.csv"))).Message, StringComparison.Ordinal);
        var large = _folder.Inside("large.csv");
        File.WriteAllBytes(large, new byte[2 * 1024 * 1024]);
        Assert.Contains("no certificate", Assert.Throws<FatalFaultException>(() => Run(large)).Message, StringComparison.Ordinal);
        Assert.Contains("cannot be used", Assert.Throws<FatalFaultException>(() => Import("\0\0\0")).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void TheRuleForGearThatMovesSilencesTheKitThoughTheCertificateGoesOn()
    {
        var record = GearFiles.LoadQuietly(_folder.Path).Calibration! with { CalibratedOn = Today.AddMonths(-3).AddDays(-1), ValidUntil = Today.AddMonths(6) };
        var moved = new Gear(Provisioner.Kit, record);

        Assert.Equal(LevelFaultCodes.CalibrationExpired, Assert.Single(moved.Faults(TimeProvider.System)).Code);
        Assert.Empty(new Gear(Provisioner.Kit with { Use = GearUse.Fixed }, record).Faults(TimeProvider.System));
    }

    [Fact]
    public async Task TheVerbShowsTheCalibrationInUseAndKeepsTheOwnersChoice()
    {
        var fixedUse = await Verb("--use", "fixed");
        Assert.Equal(0, fixedUse.Code);
        Assert.Equal(GearUse.Fixed, GearFiles.LoadQuietly(_folder.Path).Kit.Use);
        Assert.Contains("SIM-CERT-0001", fixedUse.Text, StringComparison.Ordinal);
        Assert.Contains("days are left", fixedUse.Text, StringComparison.Ordinal);

        var bad = _folder.Inside("bad.csv");
        await File.WriteAllTextAsync(bad, Example().Replace("coupler,iec-60318-1-flat-plate", "coupler,iec-60318-3", StringComparison.Ordinal), TestContext.Current.CancellationToken);
        var refused = await Verb("--import", bad, "--accept");
        Assert.Equal(AgentCommands.BadInputExitCode, refused.Code);
        Assert.Contains("line 10, coupler:", refused.Text, StringComparison.Ordinal);

        Assert.Equal(AgentCommands.BadInputExitCode, (await Verb("--accept")).Code);
    }

    [Fact]
    public void AKitDescriptionWithoutAUseIsReadAsOneThatMoves()
    {
        var path = _folder.Inside(GearFiles.KitFile);
        var node = System.Text.Json.Nodes.JsonNode.Parse(File.ReadAllText(path))!.AsObject();
        Assert.True(node.Remove("use"));
        File.WriteAllText(path, node.ToJsonString());

        Assert.Equal(GearUse.Moved, GearFiles.LoadQuietly(_folder.Path).Kit.Use);
    }

    [Fact]
    public void ARecordFromBeforeAirAndUncertaintyWereKeptIsStillRead()
    {
        const string Old = """{"certificateId":"C-1","unitSerial":"U","transducerSerial":"T","transducerKind":"Insert","coupler":"Iec60318Part5","calibratedOn":"2026-01-02","validUntil":"2027-01-01","laboratory":"L","entries":[{"ear":"Left","frequencyHz":1000,"splAtFullScaleDb":110,"maximumDbHl":90}]}""";

        var record = JsonSerializer.Deserialize<CalibrationRecord>(Old, Protocol.Json)!;

        Assert.Equal(110, record.Entries[0].SplAtFullScaleDb);
        Assert.True(record is { TemperatureC: null, PressureKPa: null, Site: null } && record.Entries[0].UncertaintyDb is null);
        Assert.Equal(Old, JsonSerializer.Serialize(record, Protocol.Json));
    }

    private static string Example(string file = "certificate.csv")
    {
        var text = File.ReadAllText(Path.Combine(Repository(), "docs", "guides", file));
        return text
            .Replace("calibrated_on,2026-11-20", string.Create(CultureInfo.InvariantCulture, $"calibrated_on,{Today.AddDays(-3):yyyy-MM-dd}"), StringComparison.Ordinal)
            .Replace("valid_until,2027-11-19", string.Create(CultureInfo.InvariantCulture, $"valid_until,{Today.AddDays(361):yyyy-MM-dd}"), StringComparison.Ordinal);
    }

    private static string Repository([System.Runtime.CompilerServices.CallerFilePath] string path = "") => Path.GetFullPath(Path.Combine(Path.GetDirectoryName(path)!, "..", "..", ".."));

    private void Import(string text, bool accept = false, bool confirmed = false)
    {
        var path = _folder.Inside("certificate.csv");
        File.WriteAllText(path, text);
        Run(path, accept, confirmed);
    }

    private void Run(string path, bool accept = false, bool confirmed = false) =>
        new CertificateImport(_folder.Path, new DurableFiles(), TimeProvider.System, _output).Run(path, accept, confirmed);

    private async Task<(int Code, string Text)> Verb(params string[] arguments)
    {
        await using var process = RealProcess.Dotnet(BuiltPrograms.SiteAgent, ["calibrate", "--data", _folder.Path, .. arguments]);
        var code = await process.WaitForExit(TimeSpan.FromSeconds(60), TestContext.Current.CancellationToken);
        return (code, process.Text());
    }
}
