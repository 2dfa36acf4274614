using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace TeleHearing.Hub.Hosting;

/// <summary>How browsers and kits reach the hub: by HTTPS, with a certificate of its own or behind a proxy that has one; by plain HTTP on the same machine only.</summary>
internal static class Transport
{
    /// <summary>Whether people reach this hub by HTTPS, so that cookies may be bound to it.</summary>
    public static bool OverHttps(this HubSettings settings) => settings.BehindTlsProxy || settings.CertificateFile is not null;

    /// <summary>What is wrong with the addresses and the certificate, as sentences.</summary>
    public static IEnumerable<string> Faults(HubSettings settings)
    {
        foreach (var address in Addresses(settings))
        {
            if (address.Scheme == Uri.UriSchemeHttp && !IsLoopback(address.Host) && !settings.BehindTlsProxy)
            {
                yield return $"Urls names {address}, which is plain HTTP for other machines: names, results and sign-ins could be read on the way. Listen on https:// with a certificate (--certificate), or, when a proxy with TLS stands before this hub and nobody else can reach this address, say so with --behind-tls-proxy.";
            }

            if (address.Scheme == Uri.UriSchemeHttps && settings.CertificateFile is null)
            {
                yield return $"Urls names {address}, but there is no certificate: name its file with --certificate.";
            }
        }

        if (settings.CertificateFile is null && (settings.CertificateKeyFile ?? settings.CertificatePasswordFile) is not null)
        {
            yield return "A key or password of a certificate is named, but no certificate: name its file with --certificate.";
        }

        foreach (var file in new[] { settings.CertificateFile, settings.CertificateKeyFile, settings.CertificatePasswordFile }.OfType<string>().Where(file => !File.Exists(file)))
        {
            yield return $"There is no file {file}, which the settings of the certificate name.";
        }
    }

    /// <summary>Reads the certificate: PEM with a key in the same or another file, or PKCS #12; with a password when a file of one is named.</summary>
    /// <exception cref="ArgumentException">It cannot be read.</exception>
    public static X509Certificate2 Certificate(HubSettings settings, string file)
    {
        try
        {
            var password = settings.CertificatePasswordFile is { } secret ? File.ReadAllText(secret).TrimEnd('\r', '\n') : null;
            if (Path.GetExtension(file).ToUpperInvariant() is ".PFX" or ".P12")
            {
                return X509CertificateLoader.LoadPkcs12FromFile(file, password);
            }

            var key = settings.CertificateKeyFile ?? file;
            return password is null ? X509Certificate2.CreateFromPemFile(file, key) : X509Certificate2.CreateFromEncryptedPemFile(file, password, key);
        }
        catch (Exception fault) when (fault is CryptographicException or IOException or UnauthorizedAccessException)
        {
            throw new ArgumentException($"The certificate {file} cannot be used: {fault.Message} Nothing was started. Give a PEM file with its key (--certificate-key), or a .pfx file, and its password in a file (--certificate-password-file).", nameof(settings), fault);
        }
    }

    private static IEnumerable<BindingAddress> Addresses(HubSettings settings)
    {
        foreach (var url in settings.Urls.Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
        {
            BindingAddress? address = null;
            try
            {
                address = BindingAddress.Parse(url);
            }
            catch (FormatException)
            {
                // What is no address at all is said when the hub begins to listen.
            }

            if (address is not null)
            {
                yield return address;
            }
        }
    }

    private static bool IsLoopback(string host) =>
        string.Equals(host, "localhost", StringComparison.OrdinalIgnoreCase) || (IPAddress.TryParse(host.Trim('[', ']'), out var address) && IPAddress.IsLoopback(address));
}
