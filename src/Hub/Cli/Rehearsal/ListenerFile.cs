using System.Text;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Hub.Cli.Rehearsal;

/// <summary>Reads the audiogram of a virtual listener.</summary>
internal static class ListenerFile
{
    /// <summary>Far more than a table of two ears and eleven frequencies needs, in bytes.</summary>
    private const long LargestBytes = 64 * 1024;

    /// <summary>The rows of the file.</summary>
    /// <exception cref="CliFault">It cannot be read or something in it is wrong; the message names file, line, column, and what is expected.</exception>
    public static IReadOnlyList<ListenerThreshold> Read(FileInfo file)
    {
        return ListenerTable.Parse(ReadText(file)) switch
        {
            ListenerTable.Read table => table.Rows,
            ListenerTable.Faulty faulty => throw new CliFault(string.Join(Environment.NewLine, faulty.Faults.Select(fault => Sentence(file, fault)))),
            var other => throw new InvalidOperationException($"A listener table came out as {other.GetType().Name}."),
        };
    }

    private static string Sentence(FileInfo file, ListenerTableFault fault) =>
        $"{file}, line {fault.Line}{(fault.Column.Length == 0 ? "" : $", column {fault.Column}")}: {fault.Sentence}";

    private static string ReadText(FileInfo file)
    {
        try
        {
            if (Directory.Exists(file.FullName))
            {
                throw new CliFault($"{file} is a folder, not a file. Give the listener's audiogram with --listener FILE.csv.");
            }

            if (file.Exists && file.Length > LargestBytes)
            {
                throw new CliFault($"{file} is {file.Length} bytes long; an audiogram is a few hundred. Give a CSV file with the header ear,frequency_hz,air_db_hl,bone_db_hl.");
            }

            return File.ReadAllText(file.FullName, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true));
        }
        catch (Exception fault) when (fault is FileNotFoundException or DirectoryNotFoundException)
        {
            throw new CliFault($"There is no file {file}. Give the listener's audiogram with --listener FILE.csv.");
        }
        catch (DecoderFallbackException)
        {
            throw new CliFault($"{file} is not text in UTF-8. Give a CSV file with the header ear,frequency_hz,air_db_hl,bone_db_hl.");
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new CliFault($"{file} cannot be read: {fault.Message}");
        }
    }
}
