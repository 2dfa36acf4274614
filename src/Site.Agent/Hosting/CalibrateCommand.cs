using System.CommandLine;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>The verb <c>calibrate</c>: shows the calibration in use, reads a laboratory's certificate, and puts it in place when told to.</summary>
internal static class CalibrateCommand
{
    public static Command Make()
    {
        var data = AgentCommands.Data();
        var import = new Option<FileInfo?>("--import") { Description = "Certificate of the laboratory as a file (docs/guides/calibration.md)" };
        var accept = new Option<bool>("--accept") { Description = "Put the certificate in place; the record in use is kept" };
        var confirmed = new Option<bool>("--confirmed") { Description = "The questions asked about the certificate were looked at and answered" };
        var use = new Option<GearUse?>("--use") { Description = "How the owner uses the kit: moved (a calibration holds 3 months) or fixed (12 months)", HelpName = "use", CustomParser = ValueParsers.OptionalChoice<GearUse>("--use") };
        var command = new Command("calibrate", "Show the calibration in use, or put a laboratory's certificate in its place") { data, import, accept, confirmed, use };
        command.SetAction((parsed, _) => AgentCommands.GuardAsync(parsed, () =>
        {
            if (parsed.GetValue(accept) && parsed.GetValue(import) is null)
            {
                throw new CommandMistakeException("--accept needs --import with the certificate to put in place. Nothing was changed.");
            }

            if (parsed.GetValue(confirmed) && !parsed.GetValue(accept))
            {
                throw new CommandMistakeException("--confirmed needs --accept, which puts the certificate in place. Nothing was changed.");
            }

            var output = parsed.InvocationConfiguration.Output;
            var folder = parsed.GetRequiredValue(data);
            if (parsed.GetValue(use) is { } wanted)
            {
                SetUse(folder, wanted, output);
            }

            if (parsed.GetValue(import) is { } file)
            {
                new CertificateImport(folder, new DurableFiles(), TimeProvider.System, output).Run(file.FullName, parsed.GetValue(accept), parsed.GetValue(confirmed));
            }
            else
            {
                CalibrationReport.WriteInUse(output, GearFiles.LoadQuietly(folder), TimeProvider.System);
            }

            return Task.CompletedTask;
        }));
        return command;
    }

    private static void SetUse(string folder, GearUse use, TextWriter output)
    {
        var kit = GearFiles.LoadQuietly(folder).Kit;
        new CalibrationFolder(folder, new DurableFiles()).SetUse(kit, use);
        output.WriteLine($"This kit is used as gear that {(use == GearUse.Moved ? "moves" : "stays in its room")}: a calibration holds {CalibrationValidity.Months(use)} months.");
    }
}
