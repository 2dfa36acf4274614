using System.CommandLine;
using System.Globalization;
using TeleHearing.Hub.Cli;
using TeleHearing.Hub.Cli.Data;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Cli.SettingUp;
using TeleHearing.Hub.Tests.Data;

namespace TeleHearing.Hub.Tests.Cli;

/// <summary>The verb <c>sessions plan</c> on a folder in which P-0107 is Oda Brekkestad, born 14 March 1951; and numbers on any verb.</summary>
public sealed class SessionVerbTests : IAsyncLifetime
{
    private DataFolder _folder = null!;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync() => _folder = await DataFolder.Make();

    public ValueTask DisposeAsync()
    {
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }

    [Theory]
    [InlineData("P-0107", "Oda Brekkestad", "1951-04-13")]
    [InlineData("P-0107", "Liv Brekkestad", "1951-03-14")]
    [InlineData("p-0107", "Tarquin Ollerenshaw", "1938-11-02")]
    public async Task AReferenceIsNotGivenToASecondPersonUnseen(string reference, string name, string born)
    {
        var refused = await Plan(reference, name, born);

        Assert.Equal(ExitCodes.BadInput, refused.Code);
        Assert.Contains("P-0107 is Oda Brekkestad, born 1951-03-14, in this hub. Nothing was planned.", refused.Error, StringComparison.Ordinal);
        Assert.Equal(["2"], await _folder.Read("SELECT CAST(COUNT(*) AS TEXT) FROM sessions"));
        Assert.Equal(ExitCodes.Done, (await Plan(reference, name, born, "--same-person")).Code);
    }

    [Fact]
    public async Task TheSamePersonIsPlannedAgainWithoutAWord() => Assert.Equal(ExitCodes.Done, (await Plan("P-0107", "Oda Brekkestad", "1951-03-14")).Code);

    [Theory]
    [InlineData("--kits", "x", "--kits must be a number from 3 to 999, not \"x\".")]
    [InlineData("--kits", "2", "--kits must be a number from 3 to 999, not \"2\".")]
    [InlineData("--loans", "1e9", "--loans must be a number from 0 to 100, not \"1e9\".")]
    [InlineData("--port", "http", "--port must be a port from 1 to 65535, not \"http\".")]
    [InlineData("--screen-port", "65536", "--screen-port must be a port from 1 to 65535, not \"65536\".")]
    public void ANumberThatIsNoneIsASentence(string option, string value, string sentence) =>
        Assert.Equal([sentence], DemoCommand.Make(TimeProvider.System).Parse([option, value]).Errors.Select(error => error.Message));

    [Theory]
    [InlineData("ten")]
    [InlineData("99999999999")]
    public void YearsThatAreNoNumberAreASentence(string years) =>
        Assert.Equal(
            [$"The years to keep records must be from 0 to 100, not \"{years}\"."],
            PersonCommands.Erase(TimeProvider.System).Parse(["--person", "P-0107", "--reason", "asked", "--keep-years", years]).Errors.Select(error => error.Message));

    [Fact]
    public async Task AKitPlannedTwiceAtOneTimeIsToldOf()
    {
        Assert.DoesNotContain("also planned", (await Plan("P-0200", "Tarquin Ollerenshaw", "1938-11-02")).Output, StringComparison.Ordinal);

        var second = await Plan("P-0201", "Liv Sandnes", "1944-06-09");

        Assert.Equal(ExitCodes.Done, second.Code);
        Assert.Contains("kit kit-01 is also planned for session", second.Output, StringComparison.Ordinal);
        Assert.Contains("at home", second.Output, StringComparison.Ordinal);
    }

    private async Task<(int Code, string Output, string Error)> Plan(string reference, string name, string born, params string[] more)
    {
        var start = TimeProvider.System.GetLocalNow().AddDays(1).ToString("yyyy-MM-ddTHH:mm", CultureInfo.InvariantCulture);
        using var output = new StringWriter();
        using var error = new StringWriter();
        var parsed = SessionsCommand.Make(TimeProvider.System).Parse(
        [
            "plan", "--reference", reference, "--name", name, "--born", born, "--referral", "First test", "--place", "at home",
            "--start", start, "--kit", "kit-01", "--clinician", "Maren Toft", "--data", _folder.Path, .. more,
        ]);
        Assert.Empty(parsed.Errors);
        return (await parsed.InvokeAsync(new InvocationConfiguration { Output = output, Error = error }, Token), output.ToString(), error.ToString());
    }
}
