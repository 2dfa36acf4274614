using TeleHearing.Audiology.Calibration;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Devices;

/// <summary>Reads a laboratory's certificate, shows what it changes, and puts it in place when told to. Anything wrong with it, and nothing is changed.</summary>
internal sealed class CertificateImport(string folder, IDurableFiles files, TimeProvider time, TextWriter output)
{
    /// <summary>Largest certificate file, bytes: a certificate has some kilobytes.</summary>
    private const long LargestFile = 1024 * 1024;

    /// <summary>Reads, shows, and with <paramref name="accept"/> puts in place.</summary>
    /// <param name="path">The certificate.</param>
    /// <param name="accept">Whether to put it in place.</param>
    /// <param name="confirmed">Whether what stands out was looked at.</param>
    /// <exception cref="FatalFaultException">It cannot be used, or something about it must be confirmed first; nothing was changed.</exception>
    public void Run(string path, bool accept, bool confirmed)
    {
        var kit = GearFiles.LoadQuietly(folder).Kit;
        var records = new CalibrationFolder(folder, files);
        var inUse = records.InUse();
        var context = new CertificateContext(
            kit.UnitSerial,
            kit.TransducerSerial,
            kit.TransducerKind,
            kit.Use,
            DateOnly.FromDateTime(time.GetLocalNow().Date),
            inUse,
            records.Earlier());
        var record = CertificateFile.Parse(ReadText(path), context) switch
        {
            CertificateFile.Read read => read.Record,
            CertificateFile.Faulty faulty => throw new FatalFaultException($"{Path.GetFileName(path)} cannot be used; nothing was changed.{Environment.NewLine}{string.Join(Environment.NewLine, faulty.Faults)}"),
            _ => throw new InvalidOperationException("A file is either read or faulty."),
        };
        if (record.Equals(inUse))
        {
            output.WriteLine($"Certificate {record.CertificateId} is in use already.");
            return;
        }

        CalibrationReport.WriteChanges(output, kit, inUse, record);
        var questions = CertificateComparison.Questions(inUse, record);
        if (!accept)
        {
            output.WriteLine(questions.Count == 0
                ? "Nothing was changed. Add --accept to put this certificate in place."
                : "Nothing was changed. When you have looked at the questions above, add --accept --confirmed to put this certificate in place.");
            return;
        }

        if (questions.Count > 0 && !confirmed)
        {
            throw new FatalFaultException("Something about this certificate must be looked at first (see the questions above). Nothing was changed. When it is right, run the same again with --confirmed.");
        }

        var kept = records.Put(record, time);
        output.WriteLine($"Certificate {record.CertificateId} is in place.{(kept is null ? string.Empty : $" The record before is kept as {kept}.")}");
        output.WriteLine("A running site agent takes it up when it is started anew.");
    }

    private static string ReadText(string path)
    {
        var file = new FileInfo(path);
        return !file.Exists
            ? throw new FatalFaultException($"There is no file {path}.")
            : file.Length > LargestFile
            ? throw new FatalFaultException($"{path} is larger than {LargestFile / 1024} KB: that is no certificate.")
            : File.ReadAllText(path);
    }
}
