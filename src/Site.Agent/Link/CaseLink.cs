using System.Net.Http.Headers;
using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Link;

/// <summary>The kit's own case over HTTP: what should be in it, and photos. Apart from the link, so that a picture never stands in the way of a stop. Nothing of it is written to the disk.</summary>
internal sealed class CaseLink(HttpClient http, IHubConnector connector)
{
    /// <summary>Longest wait for the hub.</summary>
    private static readonly TimeSpan _longest = TimeSpan.FromSeconds(20);

    /// <summary>Largest photo taken from the hub, bytes: as large as the hub keeps them.</summary>
    private const int LargestPhotoBytes = 8 * 1024 * 1024;

    /// <summary>What belongs in the case. Absent when the hub does not answer or does not know it.</summary>
    public Task<KitCase?> Read(CancellationToken cancellationToken) =>
        Ask(HttpMethod.Get, KitCase.Path, null, async (answer, token) => answer.IsSuccessStatusCode ? await answer.Content.ReadFromJsonAsync<KitCase>(Protocol.Json, token) : null, cancellationToken);

    /// <summary>A photo with its media type. Absent when the hub does not answer or has none.</summary>
    public Task<CasePhoto?> ReadPhoto(string photo, CancellationToken cancellationToken) =>
        Ask(
            HttpMethod.Get,
            $"{KitCase.PhotoPath}/{Uri.EscapeDataString(photo)}",
            null,
            async (answer, token) => answer is { IsSuccessStatusCode: true, Content.Headers.ContentType.MediaType: { } type } && answer.Content.Headers.ContentLength is null or <= LargestPhotoBytes
                ? new CasePhoto(await answer.Content.ReadAsByteArrayAsync(token), type)
                : null,
            cancellationToken);

    /// <summary>Hands in a photo.</summary>
    public async Task<PhotoReply> Send(byte[] picture, CancellationToken cancellationToken) =>
        await Ask(
            HttpMethod.Post,
            KitCase.PhotoPath,
            picture,
            (answer, token) => answer.Content.ReadFromJsonAsync<PhotoReply>(Protocol.Json, token),
            cancellationToken)
        ?? new PhotoReply(null, new Refusal(RefusalCodes.LinkLost, "The photo did not get through.", "You can go on without it."));

    private async Task<T?> Ask<T>(HttpMethod method, string path, byte[]? body, Func<HttpResponseMessage, CancellationToken, Task<T?>> read, CancellationToken cancellationToken)
        where T : class
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(_longest);
        try
        {
            using var request = new HttpRequestMessage(method, new Uri(connector.Hub, path));
            if (!await connector.AuthorizeAsync(request, limit.Token))
            {
                return null;
            }

            if (body is not null)
            {
                request.Content = new ByteArrayContent(body) { Headers = { ContentType = new MediaTypeHeaderValue("image/jpeg") } };
            }

            using var answer = await http.SendAsync(request, limit.Token);
            return await read(answer, limit.Token);
        }
        catch (Exception fault) when (fault is HttpRequestException or KitNotServedException or JsonException or NotSupportedException or IOException || (fault is OperationCanceledException && !cancellationToken.IsCancellationRequested))
        {
            // The hub is away or answers nothing usable: the screen goes on without it, and asks again later.
            return null;
        }
    }
}

/// <summary>A photo as it came.</summary>
internal sealed record CasePhoto(byte[] Bytes, string MediaType);
