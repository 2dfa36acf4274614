namespace TeleHearing.Testing;

/// <summary>A folder of its own for one test, gone afterwards.</summary>
public sealed class TempFolder : IDisposable
{
    public TempFolder()
    {
        Path = Directory.CreateTempSubdirectory("telehearing-test-").FullName;
    }

    /// <summary>Full path.</summary>
    public string Path { get; }

    /// <summary>Path of something inside.</summary>
    public string Inside(string name) => System.IO.Path.Combine(Path, name);

    public void Dispose()
    {
        try
        {
            Directory.Delete(Path, recursive: true);
        }
        catch (IOException)
        {
            // A process that was killed may still be letting go of a file; the system's own cleaning takes the rest.
        }
        catch (UnauthorizedAccessException)
        {
            // The same, where the system reports it as a right that is missing.
        }
    }
}
