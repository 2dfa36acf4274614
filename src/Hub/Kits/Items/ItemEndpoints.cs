using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Labels, scans, files of items and a kit's own case over HTTP.</summary>
internal static class ItemEndpoints
{
    /// <summary>Characters of a wrong entry that are said again.</summary>
    private const int LongestShown = 40;

    public static IServiceCollection AddItems(this IServiceCollection services)
    {
        services.AddSingleton<PhotoStore>();
        services.AddSingleton(provider => new LabelLookup(provider.GetRequiredService<KitFactStore>()));
        services.AddSingleton<KitFiles>();
        return services;
    }

    public static void MapItems(this IEndpointRouteBuilder routes)
    {
        routes.MapPhotos();
        routes.MapGet(ScanReply.Path, async (string? text, LabelLookup labels, CancellationToken cancellationToken) => Results.Json(await labels.Find(text, cancellationToken), Protocol.Json));
        routes.MapGet("/papers/labels", Labels);
        routes.MapGet(ImportReply.ExportPath, async (string? separator, KitFiles files, CancellationToken cancellationToken) =>
                Results.File(await files.Export(separator == "semicolon" ? ';' : ',', cancellationToken), "text/csv; charset=utf-8", "kits.csv"));
        routes.MapPost(ImportReply.Path, Import);
        routes.MapGet(KitCase.Path, async (HttpContext http, KitFactStore facts, FleetFactStore fleet, CancellationToken cancellationToken) =>
                await facts.Load(KitCaller.From(http.User).KitId, cancellationToken) is { } kit
                    ? Results.Json(KitCaseBuilder.Of(kit.State, (await fleet.Load(cancellationToken)).State.Terms), Protocol.Json)
                    : Results.NotFound());
    }

    private static async Task<IResult> Import(bool? keep, HttpContext http, KitFiles files, CancellationToken cancellationToken)
    {
        var caller = PersonCaller.From(http.User);
        var body = await LimitedBody.Read(http.Request.Body, KitCsvReader.LargestBytes, cancellationToken);
        var reply = await files.Import(body, keep == true, new Actor(caller.Id, caller.Name), cancellationToken);
        return Results.Json(reply, Protocol.Json, statusCode: reply is { Faults.Count: 0, Refusal: null } ? StatusCodes.Status200OK : StatusCodes.Status422UnprocessableEntity);
    }

    private static async Task<IResult> Labels(string[] kit, string? sheet, string? skip, HttpContext http, KitFactStore facts, CancellationToken cancellationToken)
    {
        var (labels, without) = (new List<PrintedLabel>(), new List<string>());
        foreach (var name in kit.Distinct(StringComparer.Ordinal))
        {
            if (await facts.Load(new KitId(name), cancellationToken) is not { } loaded)
            {
                without.Add($"{name}: there is no such kit.");
                continue;
            }

            var made = LabelSheet.Of(loaded.State.KitId, loaded.Row.Label, loaded.State.Items);
            labels.AddRange(made.Labels);
            without.AddRange(made.Without);
        }

        var form = SheetForm.All.FirstOrDefault(known => known.Name == sheet) ?? SheetForm.All[0];
        var address = http.Request.Path + "?" + string.Join('&', kit.Select(name => $"kit={Uri.EscapeDataString(name)}"));
        http.Response.Headers.CacheControl = "no-store";
        var passed = 0;
        if (!string.IsNullOrWhiteSpace(skip) && !int.TryParse(skip, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out passed))
        {
            var wrong = LabelSheet.Html([], [$"\"{(skip.Length > LongestShown ? skip[..LongestShown] + "…" : skip)}\" is no number of labels to leave free. Give a whole number, or choose a sheet above."], form, 0, address);
            return ServerPage.Html(wrong, LabelSheet.Style(form), StatusCodes.Status400BadRequest);
        }

        var html = LabelSheet.Html(labels, without, form, Math.Clamp(passed, 0, form.PerPage - 1), address);
        return ServerPage.Html(html, LabelSheet.Style(form));
    }
}
