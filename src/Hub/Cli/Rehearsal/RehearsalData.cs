namespace TeleHearing.Hub.Cli.Rehearsal;

/// <summary>Data folders of a rehearsal's hub and kit: temporary ones, or kept beside the results.</summary>
internal sealed class RehearsalData : IDisposable
{
    private readonly bool _keep;
    private readonly string _root;

    public RehearsalData(RehearsalOptions options)
    {
        _keep = options.KeepData;
        _root = _keep ? Path.Combine(options.Out.FullName, "data") : Directory.CreateTempSubdirectory("telehearing-rehearsal-").FullName;
        if (_keep && Directory.Exists(_root))
        {
            throw new CliFault($"{_root} holds the data of an earlier rehearsal. Nothing was changed. Remove it, or name another folder with --out.");
        }

        Directory.CreateDirectory(Hub);
        Directory.CreateDirectory(Kit);
    }

    /// <summary>The hub's folder.</summary>
    public string Hub => Path.Combine(_root, "hub");

    /// <summary>The kit's folder.</summary>
    public string Kit => Path.Combine(_root, "kit");

    public void Dispose()
    {
        if (!_keep)
        {
            try
            {
                Directory.Delete(_root, recursive: true);
            }
            catch (IOException)
            {
                // A file may still be held for a moment; the system clears its temporary folder.
            }
        }
    }
}
