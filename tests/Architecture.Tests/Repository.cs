namespace TeleHearing.Architecture.Tests;

/// <summary>Finds the checkout the tests were built from.</summary>
internal static class Repository
{
    public static string Root { get; } = Find();

    private static string Find()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "TeleHearing.sln")))
            {
                return folder.FullName;
            }
        }

        throw new InvalidOperationException("TeleHearing.sln was not found above the test binaries.");
    }
}
