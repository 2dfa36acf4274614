using System.CommandLine;
using System.Text.RegularExpressions;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;

namespace TeleHearing.Hub.Cli.SettingUp;

/// <summary>The verb <c>kits add</c>: a kit, and the code with which its agent enrols.</summary>
internal static partial class KitsCommand
{
    public static Command Make(TimeProvider clock) => new("kits", "the kits of a hub") { Add(clock), KitHistoryCommand.Make(clock), KitFileCommands.Export(clock), KitFileCommands.Import(clock) };

    private static Command Add(TimeProvider clock)
    {
        var kit = new Argument<string>("kit") { Description = "number as printed on its case, e.g. kit-03" };
        kit.Validators.Add(result =>
        {
            if (!Number().IsMatch(result.GetValue(kit) ?? string.Empty))
            {
                result.AddError("The kit's number must be 1 to 40 letters, digits, points and hyphens, e.g. kit-03.");
            }
        });
        var (label, where, data) = (OpenedHub.Text("--label", "what it is, e.g. \"loan kit, circumaural earphones\""), OpenedHub.Text("--where", "where it is now"), OpenedHub.Data());
        var command = new Command("add", "enter a kit, or change its label and place, and print a single-use enrolment code") { kit, label, where, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            var (kitId, fleet, output) = (new KitId(parsed.GetRequiredValue(kit)), services.GetRequiredService<KitFleet>(), parsed.InvocationConfiguration.Output);
            var known = await fleet.IsEntered(kitId, cancellationToken);
            await fleet.Enter(kitId, parsed.GetRequiredValue(label), parsed.GetRequiredValue(where), cancellationToken);
            await output.WriteLineAsync(known ? $"{kitId} was entered before; its label and place are changed." : $"{kitId} is entered.");
            var life = services.GetRequiredService<HubSettings>().EnrolmentCodeLife;
            await output.WriteLineAsync($"enrolment code, good once and for {life.TotalHours:0} hours: {await fleet.IssueEnrolmentCode(kitId, cancellationToken)}");
            await output.WriteLineAsync("Give it to the kit's agent: run --enrol CODE. It takes the place of any code printed before, and an enrolment made with it ends the one before. A console that is open shows the kit when it is loaded again.");
        })));
        return command;
    }

    [GeneratedRegex("^[A-Za-z0-9.-]{1,40}$")]
    private static partial Regex Number();
}
