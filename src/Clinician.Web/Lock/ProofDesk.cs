using System.Net.Http.Json;
using TeleHearing.Clinician.Web.State;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Lock;

/// <summary>What the console says to the hub about proofs, the cover and silence. Over HTTP, so that it works without anything loaded.</summary>
public sealed class ProofDesk(HttpClient http)
{
    private static readonly Refusal _away = new(RefusalCodes.LinkLost, "The hub cannot be reached just now.", "Wait for the link, then try again. If sound must end now, ask anyone at the site to press Stop: it works without the hub.");

    /// <summary>A question for a passkey of the signed-in person, as JSON for the browser; null when the hub cannot be reached.</summary>
    public async Task<string?> Question()
    {
        try
        {
            using var answer = await http.PostAsync(new Uri("api/confirm/question", UriKind.Relative), null);
            return answer.IsSuccessStatusCode ? await answer.Content.ReadAsStringAsync() : null;
        }
        catch (Exception fault) when (LinkFaults.Covers(fault))
        {
            return null;
        }
    }

    /// <summary>Shows a proof.</summary>
    /// <returns>Why it was not taken; null when it was.</returns>
    public async Task<Refusal?> Show(ProofShown shown) => (await Post<ProofShown, ProofReply>("api/confirm", shown)) is { } reply ? reply.Refusal : _away;

    /// <summary>Silence in every session this person controls.</summary>
    /// <returns>Why not; null when all are silent and on hold.</returns>
    public async Task<Refusal?> Silence() => (await Post<object, SilenceReply>("api/silence", new object())) is { } reply ? reply.Refusal : _away;

    /// <summary>Says that somebody is there, or that nobody is.</summary>
    /// <returns>Where the lock stands now; null when the hub cannot be reached.</returns>
    public Task<LockView?> Report(LockReport report) => Post<LockReport, LockView>("api/lock", report);

    private async Task<TAnswer?> Post<TAsked, TAnswer>(string path, TAsked asked)
        where TAnswer : class
    {
        try
        {
            using var answer = await http.PostAsJsonAsync(new Uri(path, UriKind.Relative), asked, Protocol.Json);
            return answer.IsSuccessStatusCode ? await answer.Content.ReadFromJsonAsync<TAnswer>(Protocol.Json) : null;
        }
        catch (Exception fault) when (fault is System.Text.Json.JsonException || LinkFaults.Covers(fault))
        {
            return null;
        }
    }
}
