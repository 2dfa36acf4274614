using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
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
        var gear = GearFiles.LoadQuietly(folder);
        var kit = gear.Kit;
        var text = ReadText(path);
        var bone = IsForAVibrator(text);
        if (bone && kit.BoneVibrator is null)
        {
            throw new FatalFaultException($"{Path.GetFileName(path)} is for a bone vibrator, and this kit has none; nothing was changed. Describe the vibrator in kit.json first: \"boneVibrator\": {{ \"serial\": \"...\" }}.");
        }

        var records = new CalibrationFolder(folder, files, bone ? GearFiles.BoneCalibrationFile : GearFiles.CalibrationFile);
        var inUse = records.InUse();
        var other = bone ? gear.Calibration : gear.BoneCalibration;
        var context = new CertificateContext(
            kit.UnitSerial,
            bone ? kit.BoneVibrator!.Serial : kit.TransducerSerial,
            bone ? TransducerKind.BoneVibrator : kit.TransducerKind,
            kit.Use,
            DateOnly.FromDateTime(time.GetLocalNow().Date),
            inUse,
            other is null ? records.Earlier() : [.. records.Earlier(), other]);
        var record = CertificateFile.Parse(text, context) switch
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

    /// <summary>Which of the kit's two transducers a certificate is for. Anything else about the file is judged when it is read.</summary>
    private static bool IsForAVibrator(string text) => text.Split('\n').Any(line =>
        line.Split(',', StringSplitOptions.TrimEntries) is [var name, var value, ..]
        && string.Equals(name, "transducer_kind", StringComparison.OrdinalIgnoreCase)
        && GearNames.FindKind(value.Trim('"')) == TransducerKind.BoneVibrator);

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
