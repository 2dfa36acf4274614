using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Items;

/// <summary>Carries labels, photos and files to the hub over HTTP and brings the answers back. Never throws for a hub that cannot be reached: the answer then says so.</summary>
public sealed class ItemDesk(HttpClient http)
{
    private static readonly Refusal _away = new(RefusalCodes.LinkLost, "The hub cannot be reached, so nothing was sent.", "Try again when the link is back.");

    /// <summary>Asks what a scanned or typed label is. Absent when the hub cannot be reached.</summary>
    public async Task<ScanReply?> Scan(string text, CancellationToken cancellationToken)
    {
        var reply = await Send<ScanReply>(() => new HttpRequestMessage(HttpMethod.Get, Relative($"{ScanReply.Path}?text={Uri.EscapeDataString(text)}")), cancellationToken);
        return reply;
    }

    /// <summary>Hands in a photo of a kit's case.</summary>
    public async Task<PhotoReply> Photo(KitId kitId, byte[] picture, CancellationToken cancellationToken) =>
        await Send<PhotoReply>(() => Post($"api/kits/{Uri.EscapeDataString(kitId.Value)}/photos", picture, "image/jpeg"), cancellationToken) ?? new PhotoReply(null, _away);

    /// <summary>Looks at a file of kits and items, or keeps it.</summary>
    public async Task<ImportReply> Import(byte[] file, bool keep, CancellationToken cancellationToken) =>
        await Send<ImportReply>(() => Post($"{ImportReply.Path}?keep={(keep ? "true" : "false")}", file, "text/csv"), cancellationToken) ?? new ImportReply([], [], false, _away);

    private static Uri Relative(string path) => new(path.TrimStart('/'), UriKind.Relative);

    private static HttpRequestMessage Post(string path, byte[] body, string type) => new(HttpMethod.Post, Relative(path))
    {
        Content = new ByteArrayContent(body) { Headers = { ContentType = new MediaTypeHeaderValue(type) } },
    };

    private async Task<T?> Send<T>(Func<HttpRequestMessage> make, CancellationToken cancellationToken)
        where T : class
    {
        try
        {
            using var request = make();
            using var answer = await http.SendAsync(request, cancellationToken);

            // A refusal has an answer in words too, with another status.
            return answer.StatusCode is HttpStatusCode.OK or HttpStatusCode.NotFound or HttpStatusCode.UnprocessableEntity
                ? await answer.Content.ReadFromJsonAsync<T>(Protocol.Json, cancellationToken)
                : null;
        }
        catch (Exception fault) when (fault is HttpRequestException or JsonException)
        {
            // Not reached, or something between here and the hub answered: the caller says so.
            return null;
        }
    }
}
