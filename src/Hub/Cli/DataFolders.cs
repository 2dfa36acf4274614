namespace TeleHearing.Hub.Cli;

/// <summary>Where data are kept when no folder is named: under the user's own local application data. Invented and real data never share a folder.</summary>
internal static class DataFolders
{
    /// <summary>Folder of the demonstration's invented clinic.</summary>
    public static string Demo => Path.Combine(Root, "demo");

    /// <summary>Folder of a hub in service.</summary>
    public static string Serve => Path.Combine(Root, "hub");

    private static string Root =>
        Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify), "telehearing");
}
