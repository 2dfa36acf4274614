using System.IO.Compression;
using System.Text;
using Microsoft.AspNetCore.Http.Features;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Data;

/// <summary>Where the owner fetches what was asked for and confirmed.</summary>
internal static class DataEndpoints
{
    public static void MapData(this IEndpointRouteBuilder routes) =>
        routes.MapGet(DataReply.Path + "/{ticket:guid}", async (Guid ticket, HttpContext http, DataTickets tickets, PersonExport export, HubSettings settings, TimeProvider time, CancellationToken cancellationToken) =>
        {
            // The format of the archive is written in small steps, some of which know no other way.
            http.Features.GetRequiredFeature<IHttpBodyControlFeature>().AllowSynchronousIO = true;
            var by = (CallerOf.Principal(http.User) as PersonCaller)?.Id;
            var day = time.GetUtcNow().UtcDateTime.ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);
            switch (await tickets.Use(ticket, by))
            {
                case BackUp backUp:
                    // Into memory is too much and into a file is one more copy: it goes out while it is made.
                    var secret = BackupSecret.Passphrase(backUp.Passphrase);
                    return Results.Stream(output => HubBackup.Write(settings.DataFolder, output, secret, time, CancellationToken.None), "application/zip", $"telehearing-{day}.backup");
                case ExportPerson wanted:
                    var files = await export.Gather(wanted.Reference, cancellationToken);
                    return Results.Stream(output => Pack(files, output), "application/zip", $"person-{day}.zip");
                default:
                    return Results.Problem("This was fetched already or lies too long ago. Ask for it again on the page Data.", statusCode: StatusCodes.Status404NotFound);
            }
        });

    private static async Task Pack(IReadOnlyList<ExportedFile> files, Stream output)
    {
        await using var zip = await ZipArchive.CreateAsync(output, ZipArchiveMode.Create, leaveOpen: true, entryNameEncoding: null);
        foreach (var file in files)
        {
            await using var entry = await zip.CreateEntry(file.Name).OpenAsync();
            await entry.WriteAsync(Encoding.UTF8.GetBytes(file.Content));
        }
    }
}
