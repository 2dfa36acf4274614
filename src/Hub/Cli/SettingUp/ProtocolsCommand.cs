using System.CommandLine;
using System.Globalization;
using TeleHearing.Hub.Protocols;

namespace TeleHearing.Hub.Cli.SettingUp;

/// <summary>The verbs <c>protocols list</c>, <c>protocols write</c> and <c>protocols keep</c>.</summary>
internal static class ProtocolsCommand
{
    public static Command Make(TimeProvider clock) => new("protocols", "the test protocols of a hub") { List(clock), Write(clock), Keep(clock) };

    private static Command List(TimeProvider clock)
    {
        var data = OpenedHub.Data();
        var command = new Command("list", "show the newest version of every protocol") { data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            foreach (var entry in await services.GetRequiredService<ProtocolShelf>().Newest(cancellationToken))
            {
                await parsed.InvocationConfiguration.Output.WriteLineAsync(
                    string.Create(CultureInfo.InvariantCulture, $"{entry.Protocol.Id}, version {entry.Protocol.Version}: {entry.Protocol.Name}{(entry.Shipped ? " (comes with the tool)" : string.Empty)}"));
            }
        })));
        return command;
    }

    private static Command Write(TimeProvider clock)
    {
        var id = OpenedHub.Text("--id", "id of the protocol");
        var file = OpenedHub.Text("--to", "file to write");
        var data = OpenedHub.Data();
        var command = new Command("write", "write the newest version of a protocol to a file, to change it") { id, file, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            var wanted = parsed.GetRequiredValue(id);
            var entry = (await services.GetRequiredService<ProtocolShelf>().Newest(cancellationToken)).FirstOrDefault(known => known.Protocol.Id == wanted)
                ?? throw new CliFault($"There is no protocol \"{wanted}\" in this hub. See protocols list.");
            var path = parsed.GetRequiredValue(file);
            try
            {
                await File.WriteAllTextAsync(path, entry.Text, cancellationToken);
            }
            catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
            {
                throw new CliFault($"{path} cannot be written. {fault.Message}");
            }

            await parsed.InvocationConfiguration.Output.WriteLineAsync($"written: {path}");
        })));
        return command;
    }

    private static Command Keep(TimeProvider clock)
    {
        var file = OpenedHub.Text("--file", "the protocol as a file (docs/guides/protocols.md)");
        var data = OpenedHub.Data();
        var command = new Command("keep", "keep a protocol as the next version of its id") { file, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            var path = parsed.GetRequiredValue(file);
            string text;
            try
            {
                text = await File.ReadAllTextAsync(path, cancellationToken);
            }
            catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
            {
                throw new CliFault($"{path} cannot be read. {fault.Message}");
            }

            var reply = await services.GetRequiredService<ProtocolShelf>().HandIn(text, keep: true, Environment.UserName, cancellationToken);
            if (reply.Kept is { } kept)
            {
                await parsed.InvocationConfiguration.Output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"kept: {kept.Id}, version {kept.Version}"));
                return;
            }

            throw new CliFault(reply.Refusal is { } refusal
                ? $"{refusal.Sentence} {refusal.Remedy}"
                : string.Join(Environment.NewLine, [$"{path} cannot be used. Nothing was kept.", .. reply.Faults.Select(fault => string.Create(CultureInfo.InvariantCulture, $"line {fault.Line}: {fault.Sentence}"))]));
        })));
        return command;
    }
}
