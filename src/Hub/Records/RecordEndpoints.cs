using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Records;

/// <summary>Downloads of a session, for those who may see sessions.</summary>
internal static class RecordEndpoints
{
    /// <summary>What "to" says of a file that stays in the clinic.</summary>
    private const string ForTheClinic = "clinic";

    public static IServiceCollection AddRecords(this IServiceCollection services) =>
        services.AddSingleton(provider => new RecordExport(provider.GetRequiredService<SessionStore>()));

    public static void MapRecords(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/api/sessions/{id:guid}");
        group.MapGet("/record", async (Guid id, string? to, RecordExport export, CancellationToken cancellationToken) =>
            await Leave(id, to, export, cancellationToken)
                ?? (await export.ReadJson(new SessionId(id), cancellationToken) is { } text
                    ? File(text, "application/json", $"{id}-record.json")
                    : Results.NotFound()));
        group.MapGet("/events", async (Guid id, string? to, RecordExport export, CancellationToken cancellationToken) =>
            await Leave(id, to, export, cancellationToken)
                ?? (await export.ReadEventLines(new SessionId(id), cancellationToken) is { } lines
                    ? File(string.Concat(lines.Select(line => line + "\n")), "application/x-ndjson", $"{id}-events.jsonl")
                    : Results.NotFound()));
    }

    /// <summary>A file for the clinic's own papers needs no consent to sharing; any other does, and who does not say gets no more than others.</summary>
    private static async Task<IResult?> Leave(Guid id, string? to, RecordExport export, CancellationToken cancellationToken) =>
        to != ForTheClinic && await export.WhyNotToOthers(new SessionId(id), cancellationToken) is { } refusal
            ? Results.Json(refusal, Protocol.Json, statusCode: StatusCodes.Status403Forbidden)
            : null;

    private static IResult File(string text, string type, string name) => Results.File(System.Text.Encoding.UTF8.GetBytes(text), type, name);
}
