using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Records;

/// <summary>Downloads of a session, for those who may see sessions.</summary>
internal static class RecordEndpoints
{
    public static IServiceCollection AddRecords(this IServiceCollection services) =>
        services.AddSingleton(provider => new RecordExport(provider.GetRequiredService<SessionStore>()));

    public static void MapRecords(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/api/sessions/{id:guid}");
        group.MapGet("/record", async (Guid id, RecordExport export, CancellationToken cancellationToken) =>
            await export.ReadJson(new SessionId(id), cancellationToken) is { } text
                ? File(text, "application/json", $"{id}-record.json")
                : Results.NotFound());
        group.MapGet("/events", async (Guid id, RecordExport export, CancellationToken cancellationToken) =>
            await export.ReadEventLines(new SessionId(id), cancellationToken) is { } lines
                ? File(string.Concat(lines.Select(line => line + "\n")), "application/x-ndjson", $"{id}-events.jsonl")
                : Results.NotFound());
    }

    private static IResult File(string text, string type, string name) => Results.File(System.Text.Encoding.UTF8.GetBytes(text), type, name);
}
