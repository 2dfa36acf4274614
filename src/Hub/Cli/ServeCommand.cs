using System.CommandLine;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity.Organisation;
using TeleHearing.Hub.Identity.SetUp;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli;

/// <summary>The verb <c>serve</c>: a hub in service.</summary>
internal static class ServeCommand
{
    public static Command Make(TimeProvider clock)
    {
        var data = new Option<DirectoryInfo>("--data") { Description = "data folder", DefaultValueFactory = _ => new DirectoryInfo(DataFolders.Serve) };
        var urls = new Option<string>("--urls") { Description = "addresses to listen on, separated by semicolons", DefaultValueFactory = _ => "http://localhost:5080" };
        var proxy = new Option<bool>("--behind-tls-proxy") { Description = "a proxy that ends TLS stands before the hub, and nobody else reaches its addresses" };
        var certificate = new Option<FileInfo?>("--certificate") { Description = "the hub's own certificate for https:// addresses: PEM, or .pfx" };
        var key = new Option<FileInfo?>("--certificate-key") { Description = "key of a PEM certificate, when it stands in a file of its own" };
        var password = new Option<FileInfo?>("--certificate-password-file") { Description = "file with the password of the certificate's key" };
        var organisation = new Option<FileInfo?>("--organisation") { Description = "settings of sign-in through an organisation (docs/operations/organisation-sign-in.md)" };
        var command = new Command("serve", "run the hub") { data, urls, proxy, certificate, key, password, organisation };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () =>
        {
            var settings = new HubSettings
            {
                DataFolder = parsed.GetRequiredValue(data).FullName,
                Urls = parsed.GetRequiredValue(urls),
                LogToConsole = false,
                BehindTlsProxy = parsed.GetValue(proxy),
                CertificateFile = parsed.GetValue(certificate)?.FullName,
                CertificateKeyFile = parsed.GetValue(key)?.FullName,
                CertificatePasswordFile = parsed.GetValue(password)?.FullName,
                Organisation = parsed.GetValue(organisation) is { } file ? Organisation(file) : null,
            };
            return Serve(settings, parsed.InvocationConfiguration.Output, clock, cancellationToken);
        }));
        return command;
    }

    private static OrganisationSettings Organisation(FileInfo file)
    {
        try
        {
            return OrganisationSettings.Read(file.FullName);
        }
        catch (ArgumentException fault)
        {
            throw new CliFault(fault.Message);
        }
    }

    private static async Task<int> Serve(HubSettings settings, TextWriter output, TimeProvider clock, CancellationToken cancellationToken)
    {
        WritableFolder.Prepare(new DirectoryInfo(settings.DataFolder), "--data");
        using var folder = await HubStart.Hold(settings.DataFolder, clock, cancellationToken);
        await using var hub = HubStart.Build(settings, clock);
        var address = await HubStart.Listen(hub, cancellationToken);
        await output.WriteLineAsync($"console: {address}");
        await output.WriteLineAsync($"log: {Path.Combine(settings.DataFolder, "logs")}");
        await OfferFirstOwner(hub.Services, address, output, cancellationToken);
        await HubStart.UntilEnded(hub, cancellationToken);
        return ExitCodes.Done;
    }

    /// <summary>While nobody is in the hub, whoever reads this console may become its owner: each start prints a new link, and the one before no longer works. It goes to the console alone, never to the log.</summary>
    private static async Task OfferFirstOwner(IServiceProvider services, Uri address, TextWriter output, CancellationToken cancellationToken)
    {
        await using var context = await services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContextAsync(cancellationToken);
        if (await context.Users.AnyAsync(cancellationToken))
        {
            return;
        }

        var (path, _) = await services.GetRequiredService<Invitations>().Issue(personId: null, cancellationToken);
        await output.WriteLineAsync($"Nobody is in this hub yet. Owner link, good once: {new Uri(address, path)}");
    }
}
