namespace TeleHearing.Hub.Tests.Support;

/// <summary>Where the repository lies, seen from the test's program.</summary>
internal static class RepositoryRoot
{
    public static string Path { get; } = Find();

    private static string Find()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(System.IO.Path.Combine(folder.FullName, "TeleHearing.sln")))
        {
            folder = folder.Parent ?? throw new DirectoryNotFoundException("No TeleHearing.sln above the test.");
        }

        return folder.FullName;
    }
}
