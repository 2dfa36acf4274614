using System.Runtime.Versioning;
using System.Security.Cryptography;
using System.Text;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Where the kit's private key lives. It never leaves the machine, and never the store where the system has one that keeps it in.</summary>
/// <remarks>
/// Windows: the system's key store (CNG), not exportable, in the security chip when there is one; the folder holds its name alone.
/// Elsewhere: a file only the agent's account may read. There the key is as safe as the disk: encrypt it as a whole.
/// </remarks>
internal static class KitKeyStore
{
    private const string KeyFile = "kit-key.pem";
    private const string NameFile = "kit-key.name";

    /// <summary>Makes a key that is not yet the kit's.</summary>
    public static NewKey Make()
    {
        if (OperatingSystem.IsWindows())
        {
            return MakeInStore();
        }

        return new NewKey(ECDsa.Create(ECCurve.NamedCurves.nistP256), null);
    }

    /// <summary>Makes a new key the kit's; the one before is gone.</summary>
    public static void Keep(string folder, IDurableFiles files, NewKey made)
    {
        if (made.Name is null)
        {
            files.Replace(Path.Combine(folder, KeyFile), Encoding.ASCII.GetBytes(made.Key.ExportPkcs8PrivateKeyPem()));
            return;
        }

        var before = files.ReadWhole(Path.Combine(folder, NameFile));
        files.Replace(Path.Combine(folder, NameFile), Encoding.ASCII.GetBytes(made.Name));
        if (OperatingSystem.IsWindows() && before is not null)
        {
            DeleteFromStore(Encoding.ASCII.GetString(before));
        }
    }

    /// <summary>The kit's key; nothing when it has none.</summary>
    /// <exception cref="CryptographicException">It cannot be read.</exception>
    /// <exception cref="ArgumentException">The file is no key.</exception>
    public static ECDsa? Find(string folder, IDurableFiles files)
    {
        if (OperatingSystem.IsWindows() && files.ReadWhole(Path.Combine(folder, NameFile)) is { } name)
        {
            return OpenInStore(Encoding.ASCII.GetString(name));
        }

        if (files.ReadWhole(Path.Combine(folder, KeyFile)) is not { } pem)
        {
            return null;
        }

        var key = ECDsa.Create();
        try
        {
            key.ImportFromPem(Encoding.ASCII.GetString(pem));
            return key;
        }
        catch (Exception fault) when (fault is ArgumentException or CryptographicException)
        {
            key.Dispose();
            throw;
        }
    }

    [SupportedOSPlatform("windows")]
    private static NewKey MakeInStore()
    {
        var name = $"TeleHearing kit {Guid.NewGuid():N}";
        foreach (var provider in new[] { CngProvider.MicrosoftPlatformCryptoProvider, CngProvider.MicrosoftSoftwareKeyStorageProvider })
        {
            try
            {
                using var key = CngKey.Create(CngAlgorithm.ECDsaP256, name, new CngKeyCreationParameters { Provider = provider, ExportPolicy = CngExportPolicies.None, KeyUsage = CngKeyUsages.Signing });
                return new NewKey(new ECDsaCng(key), name);
            }
            catch (CryptographicException) when (provider == CngProvider.MicrosoftPlatformCryptoProvider)
            {
                // No security chip, or one that does not do P-256: the store in software keeps the key from being exported too.
            }
        }

        throw new CryptographicException("This machine's key store makes no P-256 key.");
    }

    [SupportedOSPlatform("windows")]
    private static ECDsaCng? OpenInStore(string name)
    {
        foreach (var provider in new[] { CngProvider.MicrosoftPlatformCryptoProvider, CngProvider.MicrosoftSoftwareKeyStorageProvider })
        {
            if (Exists(name, provider))
            {
                using var key = CngKey.Open(name, provider);
                return new ECDsaCng(key);
            }
        }

        return null;
    }

    [SupportedOSPlatform("windows")]
    private static void DeleteFromStore(string name)
    {
        foreach (var provider in new[] { CngProvider.MicrosoftPlatformCryptoProvider, CngProvider.MicrosoftSoftwareKeyStorageProvider })
        {
            if (Exists(name, provider))
            {
                using var key = CngKey.Open(name, provider);
                key.Delete();
            }
        }
    }

    [SupportedOSPlatform("windows")]
    private static bool Exists(string name, CngProvider provider)
    {
        try
        {
            return CngKey.Exists(name, provider);
        }
        catch (CryptographicException)
        {
            // A machine without that store has no key in it.
            return false;
        }
    }
}

/// <summary>A key just made, with its name in the system's store where it lives in one.</summary>
internal sealed record NewKey(ECDsa Key, string? Name) : IDisposable
{
    public void Dispose() => Key.Dispose();
}
