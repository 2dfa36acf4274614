using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Makes the kit's key and hands its public half to the hub with a one-time code.</summary>
internal sealed partial class Enrolment(HttpClient http, IDurableFiles files, TimeProvider time, ILogger<Enrolment> logger)
{
    private static readonly TimeSpan _retryAfter = TimeSpan.FromSeconds(1);

    /// <summary>The credential in a folder, enrolling first when a code is given that was not used before. The old credential stays until the hub has accepted the new one.</summary>
    /// <exception cref="FatalFaultException">There is no credential and none could be had.</exception>
    public async Task<KitCredential> ObtainAsync(string folder, Uri hub, string? code, CancellationToken cancellationToken)
    {
        var credential = KitCredential.Load(folder, files);
        if (code is null || credential?.Who.CodeHash == HashOf(code))
        {
            return credential ?? throw new FatalFaultException("This kit is not enrolled. Ask the coordinator for an enrolment code and start again with --enrol CODE.");
        }

        credential?.Dispose();
        using var key = KitKeyStore.Make();
        var request = new EnrolRequest(code, key.Key.ExportSubjectPublicKeyInfoPem(), Protocol.Version);
        var reply = await AskAsync(new Uri(hub, Protocol.EnrolPath), request, cancellationToken);
        if ((reply.KitId, reply.HubKeyPem) is not ({ } kitId, { } hubKey))
        {
            throw new FatalFaultException($"The hub did not enrol this kit. {reply.Refusal?.Sentence} {reply.Refusal?.Remedy}".TrimEnd());
        }

        KitCredential.Store(folder, files, new Identity(kitId, hub.ToString(), HashOf(code), hubKey), key);
        Log.Enrolled(logger, kitId);
        return KitCredential.Load(folder, files)!;
    }

    private async Task<EnrolReply> AskAsync(Uri address, EnrolRequest request, CancellationToken cancellationToken)
    {
        var notices = new OutageNotices(time);
        while (true)
        {
            try
            {
                using var response = await http.PostAsJsonAsync(address, request, Protocol.Json, cancellationToken);
                var reply = await response.Content.ReadFromJsonAsync<EnrolReply>(Protocol.Json, cancellationToken);
                if (reply is { KitId: not null } or { Refusal: not null })
                {
                    return reply;
                }

                throw new FatalFaultException($"{address} answered, but not as a hub does (status {(int)response.StatusCode}). Check the address given with --hub.");
            }
            catch (HttpRequestException)
            {
                if (notices.IsDue())
                {
                    Log.HubAway(logger, address);
                }

                await Task.Delay(_retryAfter, time, cancellationToken);
            }
            catch (JsonException)
            {
                throw new FatalFaultException($"{address} answered, but not as a hub does. Check the address given with --hub.");
            }
        }
    }

    private static string HashOf(string code) => Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(code)));

    private static partial class Log
    {
        [LoggerMessage(EventId = 2201, Level = LogLevel.Information, Message = "Enrolled as {KitId}.")]
        public static partial void Enrolled(ILogger logger, KitId kitId);

        [LoggerMessage(EventId = 2202, Level = LogLevel.Warning, Message = "The hub at {Address} does not answer; trying again.")]
        public static partial void HubAway(ILogger logger, Uri address);
    }
}
