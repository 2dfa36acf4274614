using System.CommandLine;
using System.Globalization;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Cli.SettingUp;
using TeleHearing.Hub.Data;

namespace TeleHearing.Hub.Cli.Data;

/// <summary>The verbs <c>export-person</c> and <c>erase-person</c>.</summary>
internal static class PersonCommands
{
    public static Command Export(TimeProvider clock)
    {
        var (person, data) = (OpenedHub.Text("--person", "the clinic's reference of the person, e.g. P-0107"), OpenedHub.Data());
        var folder = new Option<DirectoryInfo>("--out") { Description = "new folder to write", Required = true };
        var command = new Command("export-person", "write everything that is recorded about a person into a folder, as data and as a page") { person, folder, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, services => BackupCommands.Words(async () =>
        {
            var export = services.GetRequiredService<PersonExport>();
            await services.GetRequiredService<AuditTrail>().Act(AuditActs.PersonExported, null, about: AskDataHandler.AboutSessions(await export.Sessions(parsed.GetRequiredValue(person), cancellationToken)));
            await export.Write(parsed.GetRequiredValue(person), parsed.GetRequiredValue(folder), cancellationToken);
            await parsed.InvocationConfiguration.Output.WriteLineAsync($"Written to {parsed.GetRequiredValue(folder)}; index.html is for reading. It lies open there: hand it over and delete it.");
        }))));
        return command;
    }

    public static Command Erase(TimeProvider clock)
    {
        var (person, data) = (OpenedHub.Text("--person", "the clinic's reference of the person, e.g. P-0107"), OpenedHub.Data());
        var reason = OpenedHub.Text("--reason", "why, as it stands in the journal of erasures");
        var years = new Option<int>("--keep-years")
        {
            Description = "years after its last entry that a session must be kept; local law decides",
            DefaultValueFactory = _ => Keeping.UsualYears,
            CustomParser = WholeNumber.From($"The years to keep records must be from 0 to {Keeping.MostYears}", 0, Keeping.MostYears),
        };
        var command = new Command("erase-person", "erase what is recorded about a person, as far as it need not be kept") { person, reason, years, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, services => BackupCommands.Words(async () =>
        {
            var account = await services.GetRequiredService<PersonErasure>().Erase(parsed.GetRequiredValue(person), parsed.GetRequiredValue(reason), null, parsed.GetValue(years), cancellationToken);
            await services.GetRequiredService<AuditTrail>().Act(AuditActs.PersonErased, null, about: AskDataHandler.AboutSessions(account.Erased.Select(session => session.Value)));
            var output = parsed.InvocationConfiguration.Output;
            await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"{(account.Erased.Count == 1 ? "1 session was erased: its key is destroyed, its" : $"{account.Erased.Count} sessions were erased: their keys are destroyed, their")} entries stay and cannot be read."));
            foreach (var kept in account.Kept)
            {
                await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"Kept{(kept.Until is { } until ? $" until {until:yyyy-MM-dd}" : "")}: {kept.What}. {kept.Why}"));
            }

            await output.WriteLineAsync("Older backups still hold what was erased. A restore erases it again as long as erasures.txt of this folder is kept; delete backups when you need them no more.");
        }))));
        return command;
    }
}
