using System.Text;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Events of EPCIS 2.0 out and in over HTTP.</summary>
internal static class EpcisEndpoints
{
    public static IServiceCollection AddEpcis(this IServiceCollection services) => services.AddSingleton<EpcisExport>().AddSingleton<EpcisImport>();

    public static void MapEpcis(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/api/kits/{id}/epcis", async (string id, EpcisExport export, CancellationToken cancellationToken) =>
        {
            try
            {
                return await export.Document(new KitId(id), cancellationToken) is { } text
                    ? Results.File(Encoding.UTF8.GetBytes(text), "application/ld+json", $"{id}-epcis.jsonld")
                    : Results.NotFound();
            }
            catch (InvalidDataException fault)
            {
                return Results.Problem(fault.Message, statusCode: StatusCodes.Status409Conflict);
            }
        });

        routes.MapPost(EpcisReply.Path, async (HttpRequest request, EpcisImport import, CancellationToken cancellationToken, bool keep = false) =>
        {
            var reply = await Answer(request, import, keep, cancellationToken);
            return Results.Json(reply, Protocol.Json, statusCode: reply is { Refusal: null, Faults.Count: 0 } ? StatusCodes.Status200OK : StatusCodes.Status400BadRequest);
        });
    }

    private static async Task<EpcisReply> Answer(HttpRequest request, EpcisImport import, bool keep, CancellationToken cancellationToken)
    {
        var document = await LimitedBody.Read(request.Body, EpcisReply.MostBytes, cancellationToken);
        if (document.Length > EpcisReply.MostBytes)
        {
            return new EpcisReply([new EpcisFault(0, string.Empty, $"The document is larger than {EpcisReply.MostBytes / 1024 / 1024} MB. Divide it.")], [], false, null);
        }

        try
        {
            return await import.Take(document, keep, PersonCaller.From(request.HttpContext.User), cancellationToken);
        }
        catch (InvalidDataException fault)
        {
            return new EpcisReply([], [], false, new Refusal(RefusalCodes.StorageFault, fault.Message, "Nothing of the document was recorded."));
        }
    }
}
