using System.Net.WebSockets;
using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Link;

/// <summary>The hub gives this kit no token. The message is for whoever looks at the kit.</summary>
internal sealed class KitNotServedException(string? code, string sentence) : Exception(sentence)
{
    /// <summary>Code of the refusal.</summary>
    public string? Code => code;
}

/// <summary>Gets tokens of the hub for what the kit signs, and puts them with a fresh proof on every request. Any thread.</summary>
internal sealed class HubTokens(HttpClient http, Uri hub, KitCredential credential, TimeProvider time)
{
    /// <summary>Longest wait for the hub.</summary>
    private static readonly TimeSpan _longest = TimeSpan.FromSeconds(5);

    /// <summary>A token is not used in the last seconds of its life: it could end on its way.</summary>
    private static readonly TimeSpan _margin = TimeSpan.FromSeconds(30);

    private Held? _held;

    /// <summary>Puts token and proof on a request.</summary>
    /// <exception cref="HttpRequestException">The hub does not answer.</exception>
    /// <exception cref="KitNotServedException">It gives none.</exception>
    public async Task AuthorizeAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        var token = await GetAsync(cancellationToken);
        request.Headers.Add("Authorization", $"{Protocol.ProofScheme} {token}");
        request.Headers.Add(Protocol.ProofScheme, Proof(request.Method.Method, request.RequestUri!, token));
    }

    /// <summary>Opens a socket with token and proof in its headers: nothing of either stands in its address.</summary>
    /// <exception cref="HttpRequestException">The hub does not answer.</exception>
    /// <exception cref="KitNotServedException">It gives no token.</exception>
    /// <exception cref="WebSocketException">It takes no connection.</exception>
    public async ValueTask<WebSocket> ConnectAsync(Uri address, CancellationToken cancellationToken)
    {
        var token = await GetAsync(cancellationToken);
        var socket = new ClientWebSocket();
        try
        {
            socket.Options.SetRequestHeader("Authorization", $"{Protocol.ProofScheme} {token}");
            socket.Options.SetRequestHeader(Protocol.ProofScheme, Proof(HttpMethod.Get.Method, address, token));
            await socket.ConnectAsync(address, cancellationToken);
            return socket;
        }
        catch (WebSocketException)
        {
            // whatever the hub had against it, the next try begins with a new one
            _held = null;
            socket.Dispose();
            throw;
        }
    }

    private string Proof(string method, Uri address, string token) => credential.Sign(KitJws.Proof, KitProof.Of(method, address, token, time.GetUtcNow()), wholeKey: true);

    private async Task<string> GetAsync(CancellationToken cancellationToken)
    {
        if (_held is { } held && time.GetElapsedTime(held.At) < held.For)
        {
            return held.Token;
        }

        var asked = time.GetTimestamp();
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(_longest);
        try
        {
            using var body = new FormUrlEncodedContent([
                new("grant_type", Protocol.KitGrantType),
                new("assertion", credential.Sign(KitJws.Assertion, KitAssertion.Of(credential.Who.KitId, time.GetUtcNow()))),
            ]);
            using var answer = await http.PostAsync(new Uri(hub, Protocol.KitTokenPath), body, limit.Token);
            if (answer.IsSuccessStatusCode && await answer.Content.ReadFromJsonAsync<KitTokenReply>(Protocol.Json, limit.Token) is { AccessToken: not null } reply)
            {
                _held = new Held(reply.AccessToken, asked, TimeSpan.FromSeconds(reply.ExpiresIn) - _margin);
                return reply.AccessToken;
            }

            var fault = await answer.Content.ReadFromJsonAsync<KitTokenFault>(Protocol.Json, limit.Token);
            throw new KitNotServedException(fault?.Code, fault?.Sentence ?? "The hub does not let this kit in. Please call your clinic.");
        }
        catch (Exception fault) when (fault is JsonException or NotSupportedException)
        {
            throw new HttpRequestException($"{hub} answered, but not as a hub does.", fault);
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            throw new HttpRequestException($"{hub} does not answer.");
        }
    }

    private sealed record Held(string Token, long At, TimeSpan For);
}
