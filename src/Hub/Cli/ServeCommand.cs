using System.CommandLine;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.SettingUp;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.Organisation;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli;

/// <summary>The verb <c>serve</c>: a hub in service.</summary>
internal static class ServeCommand
{
    public static Command Make(TimeProvider clock)
    {
        var data = new Option<DirectoryInfo>("--data") { Description = "data folder", DefaultValueFactory = _ => new DirectoryInfo(DataFolders.Serve) };
        var urls = new Option<string>("--urls") { Description = "addresses to listen on, separated by semicolons", DefaultValueFactory = _ => "http://localhost:5080" };
        var signIn = new Option<string?>("--sign-in") { Description = "print a single-use sign-in link for this person; the first person of an empty hub is entered as its owner" };
        var proxy = new Option<bool>("--behind-tls-proxy") { Description = "a proxy that ends TLS stands before the hub, and nobody else reaches its addresses" };
        var certificate = new Option<FileInfo?>("--certificate") { Description = "the hub's own certificate for https:// addresses: PEM, or .pfx" };
        var key = new Option<FileInfo?>("--certificate-key") { Description = "key of a PEM certificate, when it stands in a file of its own" };
        var password = new Option<FileInfo?>("--certificate-password-file") { Description = "file with the password of the certificate's key" };
        var organisation = new Option<FileInfo?>("--organisation") { Description = "settings of sign-in through an organisation (docs/operations/organisation-sign-in.md)" };
        var command = new Command("serve", "run the hub") { data, urls, signIn, proxy, certificate, key, password, organisation };
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
            return Serve(settings, parsed.GetValue(signIn), parsed.InvocationConfiguration.Output, clock, cancellationToken);
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

    private static async Task<int> Serve(HubSettings settings, string? signIn, TextWriter output, TimeProvider clock, CancellationToken cancellationToken)
    {
        WritableFolder.Prepare(new DirectoryInfo(settings.DataFolder), "--data");
        using var folder = await HubStart.Hold(settings.DataFolder, clock, cancellationToken);
        await using var hub = HubStart.Build(settings, clock);
        var address = await HubStart.Listen(hub, cancellationToken);
        await output.WriteLineAsync($"console: {address}");
        await output.WriteLineAsync($"log: {Path.Combine(settings.DataFolder, "logs")}");
        if (signIn is not null)
        {
            var person = await FindOrEnterOwner(hub.Services, signIn, cancellationToken);
            await output.WriteLineAsync($"sign-in link for {signIn}, good once: {new Uri(address, await hub.Services.GetRequiredService<SignInLinks>().Issue(person, cancellationToken))}");
        }

        await HubStart.UntilEnded(hub, cancellationToken);
        return ExitCodes.Done;
    }

    private static async Task<string> FindOrEnterOwner(IServiceProvider services, string name, CancellationToken cancellationToken)
    {
        await using var context = await services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContextAsync(cancellationToken);
        if ((await OpenedHub.PeopleNamed(services, name, cancellationToken)).FirstOrDefault() is { } known)
        {
            return known;
        }

        if (await context.Users.AnyAsync(cancellationToken))
        {
            throw new CliFault($"There is nobody named {name} in this hub. Nothing was changed. Give the name of someone who is.");
        }

        return await services.GetRequiredService<PeopleAdmin>().Enter(name, [Roles.Owner, Roles.Clinician, Roles.Coordinator], cancellationToken);
    }
}
