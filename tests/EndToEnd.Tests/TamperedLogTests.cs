using Microsoft.Data.Sqlite;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>A log that was changed behind the hub's back is seen: the session can be read, cannot be changed, and says from which event on it does not fit.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class TamperedLogTests
{
    [Theory]
    [InlineData("UPDATE session_events SET Payload = substr(Payload, 1, length(Payload) - 1) WHERE Sequence = $sequence")]
    [InlineData("UPDATE session_events SET TimeTicks = TimeTicks + 1 WHERE Sequence = $sequence")]
    [InlineData("DELETE FROM session_events WHERE Sequence = $sequence")]
    public async Task AnEventChangedInTheFileMakesTheSessionReadOnlyFromThereOn(string change)
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        var before = await rig.WalkTo(SessionStage.Consent, cancellation);
        await rig.Hub.Kill(cancellation);

        var sequence = await Change(rig.Hub.Data, change, cancellation);
        await rig.Hub.StartAgain(cancellation);
        var view = await rig.Link.Until(seen => !seen.Integrity.Valid, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);

        Assert.Equal(sequence, view.Integrity.BrokenAtSequence);
        Assert.Equal(before.SessionId, view.SessionId);
        var receipt = await rig.Link.Ask(new Hold(null), cancellation);
        Assert.Equal(RefusalCodes.SessionDamaged, receipt.Refusal?.Code);
        Assert.NotNull(receipt.Refusal?.Remedy);

        await using var doctor = RealProcess.Dotnet(BuiltPrograms.Hub, "doctor", "--data", rig.Hub.Data);
        Assert.Equal(1, await doctor.WaitForExit(Limits.Start, cancellation));
        Assert.Contains(doctor.Lines, line => line.StartsWith("FAULT", StringComparison.Ordinal) && line.Contains($"event {sequence}", StringComparison.Ordinal));
    }

    /// <summary>Changes the event that holds the identity.</summary>
    private static async Task<long> Change(string folder, string change, CancellationToken cancellation)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(folder, "hub.db")};Pooling=False");
        await connection.OpenAsync(cancellation);
        await using var find = connection.CreateCommand();
        find.CommandText = "SELECT Sequence FROM session_events WHERE Kind = 'identity.confirmed' ORDER BY Sequence LIMIT 1";
        var sequence = Assert.IsType<long>(await find.ExecuteScalarAsync(cancellation));
        await using var alter = connection.CreateCommand();
        alter.CommandText = change;
        alter.Parameters.AddWithValue("$sequence", sequence);
        Assert.Equal(1, await alter.ExecuteNonQueryAsync(cancellation));
        return sequence;
    }
}
