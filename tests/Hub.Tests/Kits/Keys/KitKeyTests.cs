using System.Net;
using System.Security.Cryptography;
using Microsoft.AspNetCore.SignalR;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Keys;

/// <summary>What a kit's key opens over real connections, and what a stolen, old, forged or another kit's word does not.</summary>
public sealed class KitKeyTests : IAsyncLifetime
{
    private readonly FakeTimeProvider _clock = new(TimeProvider.System.GetUtcNow());
    private readonly ECDsa _stranger = ECDsa.Create(ECCurve.NamedCurves.nistP256);
    private RunningHub _hub = null!;
    private TestKit _kit = null!;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start(configure: services => services.AddSingleton(provider => new KitTokens(
            provider.GetRequiredService<KitFleet>(), provider.GetRequiredService<HubKey>(), provider.GetRequiredService<ISeenOnce>(), _clock)));
        _kit = await _hub.Kit();
    }

    public async ValueTask DisposeAsync()
    {
        _stranger.Dispose();
        await _kit.DisposeAsync();
        await _hub.DisposeAsync();
    }

    private Uri Case => new(_hub.Address, KitCase.Path);

    [Fact]
    public async Task AnAssertionIsExchangedOnceForATokenOfTenMinutesBoundToTheKey()
    {
        var assertion = _kit.Assertion();

        var (reply, _) = await _kit.Exchange(assertion);
        var (again, fault) = await _kit.Exchange(assertion);

        Assert.Equal(("DPoP", 600), (reply!.TokenType, reply.ExpiresIn));
        Assert.Equal(_kit.Thumbprint, _hub.Get<KitTokens>().Open(reply.AccessToken)!.Cnf.Jkt);
        Assert.Null(again);
        Assert.Equal(("invalid_grant", RefusalCodes.Duplicate), (fault!.Error, fault.Code));
    }

    [Fact]
    public async Task AnAssertionMustBeTheKitsOwnForThisHubAndShortLived()
    {
        async Task<string?> Refused(string assertion) => (await _kit.Exchange(assertion)).Fault?.Code;

        Assert.Equal(RefusalCodes.KitNotProven, await Refused(_kit.Assertion(key: _stranger)));
        Assert.Equal(RefusalCodes.KitNotProven, await Refused(_kit.Assertion(said => said with { Aud = "another-hub" })));
        Assert.Equal(RefusalCodes.KitNotProven, await Refused(_kit.Assertion(said => said with { Jti = string.Empty })));
        Assert.Equal(RefusalCodes.Invalid, await Refused(_kit.Assertion(said => said with { Sub = "kit-02" })));
        Assert.Equal(RefusalCodes.Invalid, await Refused(_kit.Assertion(said => said with { Exp = said.Iat + 61 })));
        Assert.Equal(RefusalCodes.Invalid, await Refused("nonsense"));
        Assert.Equal(RefusalCodes.KitRevoked, await Refused(_kit.Assertion(said => said with { Iss = "kit-77", Sub = "kit-77" })));
        Assert.Null(await Refused(_kit.Assertion(said => said with { Exp = said.Iat + 60 })));
    }

    [Theory]
    [InlineData(-7, "behind")]
    [InlineData(7, "ahead of")]
    public async Task AClockThatIsFarOffIsSaidInWordsAndOneThatIsNearlyTwoMinutesOffServes(int minutes, string which)
    {
        KitAssertion Off(KitAssertion said, double by) => said with { Iat = said.Iat + (long)(by * 60), Exp = said.Exp + (long)(by * 60) };

        var (_, fault) = await _kit.Exchange(_kit.Assertion(said => Off(said, minutes)));

        Assert.Equal(RefusalCodes.KitClock, fault!.Code);
        Assert.Contains($"7 minutes {which} the clinic's", fault.Sentence, StringComparison.Ordinal);
        Assert.NotNull((await _kit.Exchange(_kit.Assertion(said => Off(said, Math.Sign(minutes) * 1.5) with { Jti = "drift" }))).Reply);
    }

    [Fact]
    public async Task ATokenWithoutAProofOfItsKeyOpensNothing()
    {
        var token = await _kit.Token();
        await using var other = await _hub.Kit("kit-02");

        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("Bearer", token, null));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, null));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, _kit.Proof("GET", Case, token, key: _stranger)));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, other.Proof("GET", Case, token)));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", await other.Token(), _kit.Proof("GET", Case, token)));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, _kit.Proof("POST", Case, token)));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, _kit.Proof("GET", new Uri(_hub.Address, Protocol.KitHubPath), token)));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, _kit.Proof("GET", Case, "another token")));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, _kit.Proof("GET", Case, token, said => said with { Iat = said.Iat - 300 })));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", Forged(token), _kit.Proof("GET", Case, Forged(token))));
        Assert.Equal(HttpStatusCode.OK, await Ask("DPoP", token, _kit.Proof("GET", Case, token)));
    }

    [Fact]
    public async Task AProofServesOnceAndATokenForTenMinutes()
    {
        var token = await _kit.Token();
        var proof = _kit.Proof("GET", Case, token);

        Assert.Equal(HttpStatusCode.OK, await Ask("DPoP", token, proof));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, proof));

        _clock.Advance(KitTokens.Life);
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, _kit.Proof("GET", Case, token)));
    }

    [Fact]
    public async Task ATokenDiesWithTheKeyItIsBoundTo()
    {
        var token = await _kit.Token();
        await _hub.Get<KitRevocation>().Revoke(_kit.KitId, "lost in the post", TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, _kit.Proof("GET", Case, token)));

        // Enrolled anew it has another key; the old token fits neither.
        await using var again = await _hub.Kit();
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, _kit.Proof("GET", Case, token)));
        Assert.Equal(HttpStatusCode.Unauthorized, await Ask("DPoP", token, again.Proof("GET", Case, token)));
        Assert.Equal(RefusalCodes.KitNotProven, (await _kit.Exchange(_kit.Assertion())).Fault!.Code);
    }

    [Fact]
    public async Task AHelloIsSignedOverTheNameOfItsOwnLink()
    {
        await using var connection = _kit.Build();
        await connection.StartAsync(TestContext.Current.CancellationToken);
        string? first = null;

        async Task<string?> Refused(Func<KitHelloProof, string> proof) => (await _kit.Hello(connection, proof: proof)).Refusal?.Code;

        Assert.Equal(RefusalCodes.KitNotProven, await Refused(shown => _kit.Sign(KitJws.Hello, shown, key: _stranger)));
        Assert.Equal(RefusalCodes.KitNotProven, await Refused(shown => _kit.Sign(KitJws.Hello, shown with { KitId = new KitId("kit-02") })));
        Assert.Equal(RefusalCodes.KitNotProven, await Refused(shown => _kit.Sign(KitJws.Hello, shown with { JournalId = JournalId.New() })));
        Assert.Equal(RefusalCodes.KitNotProven, await Refused(shown => _kit.Sign(KitJws.Reports, shown)));
        Assert.Equal(RefusalCodes.KitNotProven, await Refused(_ => string.Empty));
        Assert.Null(await Refused(shown => first = _kit.Sign(KitJws.Hello, shown)));
        Assert.Equal(RefusalCodes.KitNotProven, await Refused(_ => first!));
    }

    [Fact]
    public async Task ReportsThatAreNotSignedByTheKitAreNotTakenAndNothingIsLost()
    {
        await _kit.Connect();
        var report = _kit.Next(null, new HelpCalled());
        var batch = new KitBatch(_kit.JournalId, [report]);

        SignedReports[] refused =
        [
            new(_kit.Sign(KitJws.Reports, batch, key: _stranger)),
            new(_kit.Sign(KitJws.Hello, batch)),
            new(_kit.Sign(KitJws.Reports, batch) + "A"),
            new(string.Empty),
        ];
        foreach (var signed in refused)
        {
            await Assert.ThrowsAsync<HubException>(() => _kit.HandSigned(signed));
        }

        Assert.Equal(report.Sequence, (await _kit.Hand(report)).AcknowledgedSequence);
    }

    private static string Forged(string token)
    {
        var parts = token.Split('.');
        var body = System.Text.Encoding.UTF8.GetString(System.Buffers.Text.Base64Url.DecodeFromChars(parts[1])).Replace("kit-01", "kit-02", StringComparison.Ordinal);
        return $"{parts[0]}.{System.Buffers.Text.Base64Url.EncodeToString(System.Text.Encoding.UTF8.GetBytes(body))}.{parts[2]}";
    }

    private async Task<HttpStatusCode> Ask(string scheme, string token, string? proof)
    {
        using var client = new HttpClient();
        using var request = new HttpRequestMessage(HttpMethod.Get, Case);
        request.Headers.Add("Authorization", $"{scheme} {token}");
        if (proof is not null)
        {
            request.Headers.Add("DPoP", proof);
        }

        using var answer = await client.SendAsync(request, TestContext.Current.CancellationToken);
        return answer.StatusCode;
    }
}
