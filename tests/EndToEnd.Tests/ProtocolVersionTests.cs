using System.Net.Http.Json;
using System.Security.Cryptography;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>A kit of another protocol version is told so in words, and is not served.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class ProtocolVersionTests
{
    [Theory]
    [InlineData(Protocol.Version + 1)]
    [InlineData(Protocol.OldestAccepted - 1)]
    public async Task AKitOfAnotherVersionCannotEnrolAndItsCodeStaysGood(int version)
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var hub = await HubRig.Start(cancellation);
        using var http = new HttpClient { BaseAddress = hub.Address };
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var pem = key.ExportSubjectPublicKeyInfoPem();

        async Task<EnrolReply?> Enrol(int spoken)
        {
            using var answer = await http.PostAsJsonAsync(Protocol.EnrolPath, new EnrolRequest(hub.EnrolmentCode, pem, spoken), Protocol.Json, cancellation);
            return await answer.Content.ReadFromJsonAsync<EnrolReply>(Protocol.Json, cancellation);
        }

        var refused = await Enrol(version);
        Assert.Equal(RefusalCodes.ProtocolVersion, refused?.Refusal?.Code);
        Assert.NotNull(refused?.Refusal?.Remedy);
        Assert.Equal(Hub.Cli.Demo.InventedClinic.Kit, (await Enrol(Protocol.Version))?.KitId);
        Assert.Equal(RefusalCodes.EnrolmentCode, (await Enrol(Protocol.Version))?.Refusal?.Code);
    }
}
