using System.Text;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Rights;

/// <summary>docs/rights.md says what the table says.</summary>
public sealed class RightsPageTests
{
    private static readonly (string Head, Parties Party)[] _columns =
    [
        ("owner", Parties.Owner),
        ("clinician", Parties.Clinician),
        ("coordinator", Parties.Coordinator),
        ("assistant", Parties.Assistant),
        ("kit", Parties.Kit),
        ("anyone", Parties.Anyone),
    ];

    [Fact]
    public void ThePageIsMadeFromTheTable()
    {
        var path = Path.Combine(RepositoryRoot.Path, "docs", "rights.md");
        var page = Page();
        if (Environment.GetEnvironmentVariable("TELEHEARING_WRITE_DIAGRAMS") == "1")
        {
            File.WriteAllText(path, page);
        }

        Assert.Equal(page, File.ReadAllText(path).ReplaceLineEndings("\n"));
    }

    private static string Page()
    {
        var text = new StringBuilder()
            .Append("# Who may do what\n\n")
            .Append("Made from `src/Hub/Rights`; a test fails when this page is stale. To write it anew:\n")
            .Append("`TELEHEARING_WRITE_DIAGRAMS=1 dotnet test tests/Hub.Tests --filter RightsPageTests`.\n\n")
            .Append("What stands in no row is refused to everyone. A person may have several roles. \"Anyone\" needs no sign-in.\n")
            .Append("\"Once confirmed\": asked for only within five minutes of a proof that it is them; signing in is one.\n")
            .Append("Inside a session more is decided by who is in control and by the gates (docs/states).\n");
        foreach (var (area, rows) in RightsTable.Areas)
        {
            text.Append($"\n## {area}\n\n| what | {string.Join(" | ", _columns.Select(column => column.Head))} |\n|---|{string.Concat(_columns.Select(_ => "---|"))}\n");
            foreach (var row in rows)
            {
                text.Append($"| {row.What} | {string.Join(" | ", _columns.Select(column => Mark(row, column.Party)))} |\n");
            }
        }

        text.Append("\n## While a console is covered\n\nOnly this, by whoever may; all else is refused until a proof uncovers it (docs/decisions/0036):\n\n");
        foreach (var row in RightsTable.Areas.SelectMany(area => area.Rows).Where(row => row.WhileLocked))
        {
            text.Append($"- {row.What}\n");
        }

        return text.ToString();
    }

    private static string Mark(RightsRow row, Parties party) => (row.Who & (party | Parties.Anyone)) == Parties.None ? "no" : row.NeedsConfirmation ? "yes, once confirmed" : "yes";
}
