using System.CommandLine;
using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Items;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Cli.SettingUp;

/// <summary>The verbs <c>kits export</c> and <c>kits import</c>: kits and items as a file (docs/guides/kits.md).</summary>
internal static class KitFileCommands
{
    public static Command Export(TimeProvider clock)
    {
        var file = OpenedHub.Text("--to", "file to write; one that is there already is not replaced");
        var semicolons = new Option<bool>("--semicolons") { Description = "separate by semicolons instead of commas" };
        var data = OpenedHub.Data();
        var command = new Command("export", "write all kits and items to a file that spreadsheets open") { file, semicolons, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            var path = parsed.GetRequiredValue(file);
            if (File.Exists(path))
            {
                throw new CliFault($"{path} is there already and was not replaced. Name a file that is not there yet.");
            }

            var bytes = await services.GetRequiredService<KitFiles>().Export(parsed.GetValue(semicolons) ? ';' : ',', cancellationToken);
            try
            {
                await using var stream = new FileStream(path, FileMode.CreateNew, FileAccess.Write);
                await stream.WriteAsync(bytes, cancellationToken);
            }
            catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
            {
                throw new CliFault($"{path} cannot be written. {fault.Message} Name a file in a folder that is there.");
            }

            await parsed.InvocationConfiguration.Output.WriteLineAsync($"written: {path}");
        })));
        return command;
    }

    public static Command Import(TimeProvider clock)
    {
        var file = OpenedHub.Text("--file", "kits and items as a file (docs/guides/kits.md)");
        var keep = new Option<bool>("--keep") { Description = "keep it; without this only what would change is shown" };
        var data = OpenedHub.Data();
        var command = new Command("import", "show what a file of kits and items changes, and keep it when told to") { file, keep, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            var path = parsed.GetRequiredValue(file);
            byte[] bytes;
            try
            {
                bytes = await File.ReadAllBytesAsync(path, cancellationToken);
            }
            catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
            {
                throw new CliFault($"{path} cannot be read. {fault.Message}");
            }

            var name = Environment.UserName;
            var reply = await services.GetRequiredService<KitFiles>().Import(bytes, parsed.GetValue(keep), new Actor($"system:{name}", name), cancellationToken);
            if (reply.Faults.Count > 0)
            {
                throw new CliFault(string.Join(Environment.NewLine, [$"{path} cannot be used. Nothing was changed.", .. reply.Faults.Select(Line)]));
            }

            foreach (var kit in reply.Changes)
            {
                await parsed.InvocationConfiguration.Output.WriteLineAsync(kit.Changes.Count == 0 ? $"{kit.KitId}: nothing changes" : $"{kit.KitId}{(kit.New ? " (new)" : string.Empty)}:");
                foreach (var change in kit.Changes)
                {
                    await parsed.InvocationConfiguration.Output.WriteLineAsync($"  {change}");
                }
            }

            await parsed.InvocationConfiguration.Output.WriteLineAsync(
                reply.Changes.All(kit => !kit.New && kit.Changes.Count == 0) ? "Nothing changes, so nothing was recorded."
                : reply.Kept ? "kept."
                : "Nothing is changed yet. Run it again with --keep to keep this.");
        })));
        return command;
    }

    private static string Line(ImportFault fault) => string.Create(
        CultureInfo.InvariantCulture,
        $"{(fault.Line == 0 ? "file" : $"line {fault.Line}")}{(fault.Column.Length == 0 ? string.Empty : $", {fault.Column}")}: {fault.Sentence}");
}
