using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Simulation;

public sealed class ListenerTableTests
{
    private const string Header = "ear,frequency_hz,air_db_hl,bone_db_hl\n";

    [Fact]
    public void RowsAreReadWithAndWithoutBone()
    {
        var read = Assert.IsType<ListenerTable.Read>(ListenerTable.Parse("# invented\r\n" + Header + "left,1000,40,35.5\r\nright,250,-10,\r\n\r\n"));

        Assert.Equal([new(Ear.Left, 1000, 40, 35.5), new(Ear.Right, 250, -10, null)], read.Rows);
    }

    [Theory]
    [InlineData("top,1000,40,", 2, "ear")]
    [InlineData("left,1001,40,", 2, "frequency_hz")]
    [InlineData("left,,40,", 2, "frequency_hz")]
    [InlineData("left,1000,loud,", 2, "air_db_hl")]
    [InlineData("left,1000,NaN,", 2, "air_db_hl")]
    [InlineData("left,1000,400,", 2, "air_db_hl")]
    [InlineData("left,1000,,", 2, "air_db_hl")]
    [InlineData("left,1000,40,x", 2, "bone_db_hl")]
    [InlineData("left,1000,40", 2, "")]
    [InlineData("left,1000,40,\nleft,1000,45,", 3, "")]
    public void AFaultNamesItsLineAndColumn(string rows, int line, string column)
    {
        var fault = Assert.Single(Assert.IsType<ListenerTable.Faulty>(ListenerTable.Parse(Header + rows)).Faults);

        Assert.Equal((line, column), (fault.Line, fault.Column));
        Assert.EndsWith(".", fault.Sentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("ear;frequency_hz;air_db_hl;bone_db_hl\nleft;1000;40;", 1)]
    [InlineData("ear\tfrequency_hz\tair_db_hl\tbone_db_hl\nleft\t1000\t40\t", 1)]
    [InlineData(Header + "left;1000;40;", 2)]
    public void ASpreadsheetsSemicolonOrTabIsAnsweredWithTheComma(string csv, int line)
    {
        var fault = Assert.Single(Assert.IsType<ListenerTable.Faulty>(ListenerTable.Parse(csv)).Faults);

        Assert.Equal(line, fault.Line);
        Assert.Contains("comma", fault.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void EveryFaultIsReportedAtOnce()
    {
        Assert.Equal(4, Assert.IsType<ListenerTable.Faulty>(ListenerTable.Parse(Header + "top,1,x,y\nleft,500,20,")).Faults.Count);
    }

    [Theory]
    [InlineData("")]
    [InlineData("ear,frequency_hz,air_db_hl\nleft,1000,40")]
    [InlineData(Header)]
    public void AFileWithoutHeaderOrRowsIsNotUsable(string text)
    {
        Assert.Single(Assert.IsType<ListenerTable.Faulty>(ListenerTable.Parse(text)).Faults);
    }
}
