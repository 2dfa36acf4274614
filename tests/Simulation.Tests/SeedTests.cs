namespace TeleHearing.Simulation.Tests;

/// <summary>Whole sessions in simulated worlds where up to three things go wrong. A seed that fails here is run alone, with its trace, by the program: tests/Simulation -- --seed S --trace.</summary>
public sealed class SeedTests
{
    private const int Seeds = 1000;

    [Fact]
    public void NothingThatMustNeverBeHappensInAnyOfManySeeds()
    {
        var failed = new List<string>();
        SeedRun.Many(1, Seeds, Environment.ProcessorCount, result =>
        {
            if (result.Violations.Count > 0)
            {
                failed.Add($"seed {result.Seed} ({string.Join("; ", result.Faults)}): {string.Join("; ", result.Violations.Select(violation => $"{violation.Rule}: {violation.What}"))}");
            }
        });

        Assert.Empty(failed);
    }

    [Theory]
    [InlineData(13)]
    [InlineData(28)]
    public void TheSameSeedGivesTheSameTrace(int seed)
    {
        var (first, second) = (SeedRun.One(seed), SeedRun.One(seed));

        Assert.Equal(first.Lines, second.Lines);
        Assert.Equal(first.Steps, second.Steps);
        Assert.NotEmpty(first.Lines);
    }

    /// <summary>What seeds found once, and what was mended then.</summary>
    /// <param name="seed">The seed.</param>
    /// <param name="found">What it found.</param>
    [Theory]
    [InlineData(5, "the end of a step that a full disk did not take was owed until the next fact came, and none came")]
    [InlineData(8, "the same, in another step")]
    [InlineData(25, "a command pressed twice was carried out, and the second press refused because of what the first had done")]
    [InlineData(18, "the same at the close of a session")]
    [InlineData(236, "the hub's clock was set forward, and every command of a console that saw no new picture came too late")]
    [InlineData(240, "the same, at the start card")]
    [InlineData(403, "stop was pressed when the session was over and its kit wiped; the kit stayed stopped, and kept the report")]
    [InlineData(669, "the same, with a hub that had died")]
    [InlineData(699, "the same, after a link that was silent")]
    [InlineData(1165, "stop was pressed as the session was ended; nobody was asked to resume, so the kit stayed stopped and wiped nothing")]
    [InlineData(1787, "consent was taken back before the session; the kit refused every step of it, and the clinician could not answer")]
    [InlineData(1793, "the session ended before its kit check while the kit was away; the kit was never asked to wipe")]
    [InlineData(920, "the kit was started while its disk was full, and ended")]
    [InlineData(1457, "the same, with a torn tail of its journal")]
    [InlineData(958, "the kit's allowance for clocks that drift let a lease last longer and longer while the link stayed slow")]
    [InlineData(1510, "the same, and the wire of the world never became quick again")]
    [InlineData(3217, "the kit's disk was full as the last acknowledgement came; it was never told again, so the kit wiped nothing")]
    [InlineData(3886, "the same, in another world")]
    [InlineData(3833, "the hub's disk failed as it started, and the program ended")]
    [InlineData(7859, "a kit whose wall clock was put right over a slow link forgot how quickly grants can come, and sounded that much beyond its lease")]
    [InlineData(37074, "consent was taken back at the console and then at the site; nothing was given any more, so no picture followed, and the kit stayed silent for good")]
    [InlineData(35938, "three outages of ten minutes each came one after the other, and the world ended before the session could")]
    [InlineData(58503, "an order came twice while the kit's disk was full; the disk kept neither, and the step was over twice")]
    [InlineData(52167, "a clinician proved who they are while the hub's disk failed, and the world had nobody to whom that could be said")]
    [InlineData(98176, "the kit was wiped before the session began, the session ended as it did, and the world did not wait for what the kit says of it")]
    [InlineData(4542, "two messages that arrived in one moment were handed over in each other's place, which no connection does")]
    [InlineData(3036, "the hub was to die at a commit and died before; the world then killed the next one and never started it again")]
    [InlineData(835, "the hub's disk failed as a console connected; the world took the failed request for the end of the hub's program")]
    public void WhatASeedFoundStaysMended(int seed, string found)
    {
        var result = SeedRun.One(seed);

        Assert.True(result.Violations.Count == 0, $"{found}: {string.Join("; ", result.Violations)}");
    }
}
