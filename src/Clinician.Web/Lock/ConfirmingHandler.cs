using System.Net;
using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Lock;

/// <summary>Asks the hub again after a proof when it answered that it wants one.</summary>
public sealed class ConfirmingHandler(ConfirmDesk desk) : DelegatingHandler
{
    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        if (request.Content is { } content)
        {
            // Kept, to be sent a second time.
            await content.LoadIntoBufferAsync(cancellationToken);
        }

        var answer = await base.SendAsync(request, cancellationToken);
        if (answer.StatusCode != HttpStatusCode.Forbidden || !await WantsProof(answer, cancellationToken) || !await desk.Prove())
        {
            return answer;
        }

        answer.Dispose();
        using var again = new HttpRequestMessage(request.Method, request.RequestUri) { Content = request.Content };
        foreach (var header in request.Headers)
        {
            again.Headers.TryAddWithoutValidation(header.Key, header.Value);
        }

        return await base.SendAsync(again, cancellationToken);
    }

    private static async Task<bool> WantsProof(HttpResponseMessage answer, CancellationToken cancellationToken)
    {
        if (answer.Content.Headers.ContentType?.MediaType != "application/json")
        {
            return false;
        }

        await answer.Content.LoadIntoBufferAsync(cancellationToken);
        try
        {
            return JsonSerializer.Deserialize<Refusal>(await answer.Content.ReadAsStringAsync(cancellationToken), Protocol.Json)?.Code == RefusalCodes.ConfirmationNeeded;
        }
        catch (JsonException)
        {
            // Another answer than a refusal.
            return false;
        }
    }
}
