using System.Net;
using System.Net.Http.Json;
using System.Security.Cryptography;
using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>What can be had of a kit where it is: its screen as a browser reads it, and what its own credential opens at the hub.</summary>
internal sealed class KitAtSite(AgentRig agent, Uri hub) : IDisposable
{
    private static readonly TimeSpan _between = TimeSpan.FromMilliseconds(50);

    private readonly HttpClient _http = new(new HttpClientHandler { UseProxy = false });

    /// <summary>Reads the screen until a text stands on it.</summary>
    public async Task<string> ScreenWith(string text, CancellationToken cancellationToken)
    {
        var (screen, start, page) = (await agent.Screen(cancellationToken), TimeProvider.System.GetTimestamp(), string.Empty);
        while (TimeProvider.System.GetElapsedTime(start) < Limits.Start)
        {
            page = WebUtility.HtmlDecode(await _http.GetStringAsync(screen, cancellationToken));
            if (page.Contains(text, StringComparison.Ordinal))
            {
                return page;
            }

            await Task.Delay(_between, TimeProvider.System, cancellationToken);
        }

        throw new Xunit.Sdk.XunitException($"\"{text}\" never stood on the kit screen:\n{page}\nagent:\n{agent.Process.Text()}");
    }

    /// <summary>The photo of the packed case, as the screen shows it.</summary>
    public async Task<byte[]> PackedPhoto(CancellationToken cancellationToken) =>
        await _http.GetByteArrayAsync(new Uri(await agent.Screen(cancellationToken), "/case/photo"), cancellationToken);

    /// <summary>Takes a photo with the screen's camera.</summary>
    /// <returns>Its id at the hub.</returns>
    public async Task<string> TakePhoto(byte[] picture, CancellationToken cancellationToken)
    {
        using var body = new ByteArrayContent(picture);
        using var answer = await _http.PostAsync(new Uri(await agent.Screen(cancellationToken), "/case/photo"), body, cancellationToken);
        return (await answer.Content.ReadFromJsonAsync<PhotoReply>(Protocol.Json, cancellationToken))!.Photo!;
    }

    /// <summary>What the kit's credential is answered when it asks for the kit's own case.</summary>
    public async Task<(HttpStatusCode Status, KitCase? Case)> AskForCase(CancellationToken cancellationToken)
    {
        var address = new Uri(hub, KitCase.Path);
        using var request = new HttpRequestMessage(HttpMethod.Get, address);
        if (await Token(cancellationToken) is not { } token)
        {
            return (HttpStatusCode.Unauthorized, null);
        }

        using var key = await Key(cancellationToken);
        request.Headers.Add("Authorization", $"{Protocol.ProofScheme} {token}");
        request.Headers.Add(Protocol.ProofScheme, KitJws.Sign(key, KitJws.Proof, KitProof.Of("GET", address, token, TimeProvider.System.GetUtcNow()), wholeKey: true));
        using var answer = await _http.SendAsync(request, cancellationToken);
        return (answer.StatusCode, answer.IsSuccessStatusCode ? await answer.Content.ReadFromJsonAsync<KitCase>(Protocol.Json, cancellationToken) : null);
    }

    public void Dispose() => _http.Dispose();

    /// <summary>A token for what is signed with the key in the kit's folder, as whoever has the kit in hand could ask for it; absent when the hub gives none.</summary>
    private async Task<string?> Token(CancellationToken cancellationToken)
    {
        using var identity = JsonDocument.Parse(await File.ReadAllTextAsync(Path.Combine(agent.Data, "identity.json"), cancellationToken));
        var kit = new KitId(identity.RootElement.GetProperty("kitId").GetString()!);
        using var key = await Key(cancellationToken);
        using var body = new FormUrlEncodedContent([
            new("grant_type", Protocol.KitGrantType),
            new("assertion", KitJws.Sign(key, KitJws.Assertion, KitAssertion.Of(kit, TimeProvider.System.GetUtcNow()))),
        ]);
        using var answer = await _http.PostAsync(new Uri(hub, Protocol.KitTokenPath), body, cancellationToken);
        return answer.IsSuccessStatusCode ? (await answer.Content.ReadFromJsonAsync<KitTokenReply>(Protocol.Json, cancellationToken))!.AccessToken : null;
    }

    private async Task<ECDsa> Key(CancellationToken cancellationToken)
    {
        var key = ECDsa.Create();
        key.ImportFromPem(await File.ReadAllTextAsync(Path.Combine(agent.Data, "kit-key.pem"), cancellationToken));
        return key;
    }
}
