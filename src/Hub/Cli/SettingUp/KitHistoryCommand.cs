using System.CommandLine;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;

namespace TeleHearing.Hub.Cli.SettingUp;

/// <summary>The verb <c>kits epcis</c>: a kit's history as an EPCIS document.</summary>
internal static class KitHistoryCommand
{
    public static Command Make(TimeProvider clock)
    {
        var kit = OpenedHub.Text("--kit", "number as printed on its case, e.g. kit-03");
        var file = new Option<FileInfo>("--out") { Description = "file to write; one that is there already is not replaced", Required = true };
        var data = OpenedHub.Data();
        var command = new Command("epcis", "write a kit's history as a document of EPCIS 2.0 events, without names, places or free text") { kit, file, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            var (kitId, path) = (new KitId(parsed.GetRequiredValue(kit)), parsed.GetRequiredValue(file).FullName);
            var text = await Document(services.GetRequiredService<EpcisExport>(), kitId, cancellationToken)
                ?? throw new CliFault($"There is no kit {kitId}. Nothing was written. Enter kits with kits add.");
            await Write(path, text, cancellationToken);
            await parsed.InvocationConfiguration.Output.WriteLineAsync($"The history of {kitId} is in {path}.");
        })));
        return command;
    }

    private static async Task<string?> Document(EpcisExport export, KitId kitId, CancellationToken cancellationToken)
    {
        try
        {
            return await export.Document(kitId, cancellationToken);
        }
        catch (InvalidDataException fault)
        {
            throw new CliFault(fault.Message);
        }
    }

    private static async Task Write(string path, string text, CancellationToken cancellationToken)
    {
        try
        {
            await using var stream = new FileStream(path, FileMode.CreateNew, FileAccess.Write);
            await using var writer = new StreamWriter(stream);
            await writer.WriteAsync(text.AsMemory(), cancellationToken);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new CliFault($"{path} could not be written: {fault.Message} Name a file that is not there yet, in a folder that is.");
        }
    }
}
