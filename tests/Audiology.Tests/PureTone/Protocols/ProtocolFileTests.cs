using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Tests.PureTone.Protocols;

public sealed class ProtocolFileTests
{
    public static TheoryData<string> ShippedIds => [.. ShippedProtocols.All.Select(protocol => protocol.Id)];

    [Theory]
    [MemberData(nameof(ShippedIds))]
    public void EveryShippedProtocolIsFreeOfContradictionsAndReadsAsItWasWritten(string id)
    {
        var protocol = ShippedProtocols.All.Single(one => one.Id == id);

        Assert.Empty(ProtocolRules.Faults(protocol));
        Assert.Equal(protocol, Read(ProtocolFile.Write(protocol)));
    }

    [Fact]
    public void ShippedProtocolsHaveDifferentNames()
    {
        Assert.Equal(ShippedProtocols.All.Count, ShippedProtocols.All.DistinctBy(protocol => protocol.Id).DistinctBy(protocol => protocol.Name).Count());
    }

    [Fact]
    public void ContradictionsAreNamedBesideWhatCannotBeReadUnlessTheyRestOnIt()
    {
        var faults = Faults("""
            {
              "id": "mine", "version": 1, "name": "Mine",
              "airHz": [500, 1000],
              "colour": "blue",
              "tone": 7,
              "retest": 3,
              "retestFurther": true,
              "lowExtension": true,
              "bone": "mastoid",
              "boneHz": [2000, -4]
            }
            """);

        Assert.Equal([4, 5, 6, 8, 10], faults.Select(fault => fault.Line).Distinct());
        Assert.Contains("125 Hz is added by what is found at 250 Hz", faults.Single(fault => fault.Line == 8).Sentence, StringComparison.Ordinal);
        Assert.EndsWith("-4 is none.", faults.Single(fault => fault.Line == 10).Sentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", 1, "empty")]
    [InlineData("  \n ", 1, "empty")]
    [InlineData("{\n  \"id\": \"a\",\n}", 3, "a comma, a quote")]
    [InlineData("[]", 1, "one object in braces")]
    [InlineData("{\n\"id\": {} }", 2, "Only text, numbers")]
    public void WhatIsNoProtocolIsSaidInThisProjectsOwnWords(string text, int line, string words)
    {
        var fault = Assert.Single(Faults(text));

        Assert.Equal(line, fault.Line);
        Assert.Contains(words, fault.Sentence, StringComparison.Ordinal);
        Assert.DoesNotContain("reader", fault.Sentence, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public void FourFieldsAreEnough()
    {
        var protocol = Read("""{ "id": "mine", "version": 3, "name": "Mine", "airHz": [2000, 4000] }""");

        Assert.Equal([2000, 4000], protocol.AirHz);
        Assert.Equal(RetestScope.None, protocol.Retest);
        Assert.False(protocol.InterOctaves);
        Assert.Null(protocol.MaskingRules);
    }

    [Fact]
    public void EveryFieldIsReadFromItsName()
    {
        var protocol = Read("""
            {
              "id": "all", "version": 7, "name": "Everything set",
              "method": "bracketing", "stoppingRule": "two-of-three-ascents", "stepDb": 1, "tone": "steady", "earOrder": "left-first",
              "airHz": [1000, 500, 250], "retest": "both-ears", "retestFurther": false, "interOctaves": false, "lowExtension": true,
              "extendedHighHz": [12500, 16000], "bone": "forehead", "boneHz": [500, 1000], "maskingRules": "bone-always", "maskerStepDb": 10,
              "quickLookFirst": true, "catchRate": 0.25, "falseResponseLimit": 2, "maximumPresentations": 40, "highestDbHl": 95
            }
            """);

        Assert.Equal(
            new TestProtocol("all", 7, "Everything set", [1000, 500, 250])
            {
                Method = ThresholdMethod.Bracketing,
                Rule = StoppingRule.TwoOfThreeAscents,
                StepDb = 1,
                Tone = ToneShape.Steady,
                EarOrder = EarOrder.LeftFirst,
                Retest = RetestScope.BothEars,
                RetestFurther = false,
                InterOctaves = false,
                LowExtension = true,
                ExtendedHighHz = [12_500, 16_000],
                Bone = BonePlacement.Forehead,
                BoneHz = [500, 1000],
                MaskingRules = "bone-always",
                MaskerStepDb = 10,
                QuickLookFirst = true,
                CatchRate = 0.25,
                FalseResponseLimit = 2,
                MaximumPresentations = 40,
                HighestDbHl = 95,
            },
            protocol);
    }

    [Theory]
    [InlineData("\"retest\": \"first-ear\"", "[500, 2000]", "1000 Hz cannot be measured again")]
    [InlineData("\"retestFurther\": true", "[500, 2000]", "which retest turns off")]
    [InlineData("\"interOctaves\": true", "[1000, 4000]", "need the octaves")]
    [InlineData("\"lowExtension\": true", "[1000]", "found at 250 Hz")]
    [InlineData("\"lowExtension\": true", "[1000, 250, 125]", "has it already")]
    [InlineData("\"bone\": \"mastoid\"", "[1000]", "boneHz has no frequency")]
    [InlineData("\"boneHz\": [1000]", "[1000]", "bone is none")]
    [InlineData("\"bone\": \"mastoid\", \"boneHz\": [1000, 6000]", "[1000, 6000]", "6000 Hz is not an audiometric frequency from 250 to 4000 Hz")]
    [InlineData("\"bone\": \"mastoid\", \"boneHz\": [1000, 500]", "[1000]", "no air-bone gap at 500 Hz")]
    [InlineData("\"method\": \"bracketing\", \"stoppingRule\": \"two-of-three\"", "[1000]", "belongs to the ascending method")]
    [InlineData("\"stepDb\": 2, \"maskingRules\": \"bone-always\"", "[1000]", "steps of 5 dB, on which levels in steps of 2 dB do not lie")]
    [InlineData("\"stepDb\": 3", "[1000]", "1, 2 or 5 dB")]
    [InlineData("\"maskerStepDb\": 7", "[1000]", "5 or 10 dB")]
    [InlineData("\"stepDb\": 2, \"highestDbHl\": 95", "[1000]", "on the step of 2 dB")]
    [InlineData("\"highestDbHl\": 140", "[1000]", "50 to 120 dB HL")]
    [InlineData("\"catchRate\": 0.9", "[1000]", "0 to 0.5")]
    [InlineData("\"extendedHighHz\": [8000]", "[1000]", "from 9000 to 16000 Hz")]
    [InlineData("\"extendedHighHz\": [9000, 9000]", "[1000]", "9000 Hz stands there twice")]
    [InlineData("\"maskingRules\": \"usual\"", "[1000]", "no rule set of this name")]
    [InlineData("\"quickLookFirst\": true, \"method\": \"estimate\"", "[1000]", "method asks for already")]
    [InlineData("\"maskeStepDb\": 5", "[1000]", "no field \"maskeStepDb\"")]
    [InlineData("\"stepDb\": \"5\"", "[1000]", "must be a number")]
    [InlineData("\"stepDb\": 5, \"stepDb\": 1", "[1000]", "stands there twice")]
    [InlineData("\"tone\": \"loud\"", "[1000]", "Use steady, pulsed")]
    [InlineData("\"retestFurther\": 1", "[1000]", "true or false")]
    [InlineData("\"falseResponseLimit\": 2.5", "[1000]", "whole number")]
    [InlineData("\"boneHz\": 1000", "[1000]", "a list of frequencies")]
    public void AContradictionIsNamedWithItsLine(string line, string airHz, string sentence)
    {
        var faults = Faults($$"""
            {
              "id": "mine", "version": 1, "name": "Mine",
              "airHz": {{airHz}},
              {{line}}
            }
            """);

        var fault = Assert.Single(faults, fault => fault.Sentence.Contains(sentence, StringComparison.Ordinal));
        Assert.Equal(4, fault.Line);
    }

    [Fact]
    public void EveryFaultIsNamedAtOnceEachWithItsLine()
    {
        var faults = Faults("""
            {
              "id": "Not An Id",
              "version": 0,
              "name": "",
              "airHz": [
                1000,
                1000,
                1234
              ]
            }
            """);

        Assert.Equal([2, 3, 4, 7, 8], faults.Select(fault => fault.Line));
    }

    [Fact]
    public void MissingFieldsAreNamed()
    {
        Assert.Equal(["id", "version", "name", "airHz"], Faults("{}").Select(fault => fault.Sentence.Split('"')[1]));
    }

    [Theory]
    [InlineData("", 1)]
    [InlineData("[]", 1)]
    [InlineData("{\n\"id\": {}\n}", 2)]
    [InlineData("{\n\"airHz\": [[1]]\n}", 2)]
    [InlineData("{\n\n\"id\": \"a\",,\n}", 3)]
    [InlineData("{} {}", 1)]
    [InlineData("{\"id\": \"\\ud800\"}", 1)]
    public void WhatIsNoProtocolIsNamedByItsLine(string text, int line)
    {
        Assert.Equal(line, Assert.Single(Faults(text)).Line);
    }

    [Fact]
    public void AFileThatIsTooLongIsRefusedUnread()
    {
        Assert.Contains("longer than", Assert.Single(Faults(new string(' ', 70_000))).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void AFileDamagedAnywhereIsReadOrNamedButNeverThrows() => Prop.ForAll(
        Gen.Choose(0, 900).ToArbitrary(),
        Gen.Elements('"', '{', ']', '0', '-', ',', '\n', '\\', '\0').ToArbitrary(),
        (place, character) =>
        {
            var text = ProtocolFile.Write(ShippedProtocols.DiagnosticWithBone);
            var damaged = text.Remove(place % text.Length, 1).Insert(place % text.Length, character.ToString());
            return ProtocolFile.Parse(damaged) is ProtocolReading.Read or ProtocolReading.Faulty { Faults.Count: > 0 };
        }).Check(Config.QuickThrowOnFailure.WithMaxTest(2000));

    [Fact]
    public void ASearchUnderAProtocolKeepsToTheLowerOfItsLimitAndTheKits()
    {
        var protocol = ShippedProtocols.FrailPerson with { HighestDbHl = 80 };

        Assert.Equal(80, protocol.Settings(100, null, null).MaximumDbHl);
        Assert.Equal(70, protocol.Settings(70, null, null).MaximumDbHl);
        Assert.Equal(StoppingRule.TwoOfThreeAscents, protocol.Settings(70, null, null).Rule);
        Assert.Equal(1, protocol.Settings(70, null, null).RestartsAfterInstruction);
    }

    private static TestProtocol Read(string text)
    {
        var reading = ProtocolFile.Parse(text);
        Assert.True(reading is ProtocolReading.Read, reading is ProtocolReading.Faulty faulty ? string.Join("; ", faulty.Faults) : "");
        return ((ProtocolReading.Read)reading).Protocol;
    }

    private static IReadOnlyList<ProtocolFileFault> Faults(string text) => Assert.IsType<ProtocolReading.Faulty>(ProtocolFile.Parse(text)).Faults;
}
