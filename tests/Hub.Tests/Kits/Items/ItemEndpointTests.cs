using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Items;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Logistics.Labels;
using ZXing;
using ZXing.Common;
using ZXing.QrCode;

namespace TeleHearing.Hub.Tests.Kits.Items;

/// <summary>Photos, labels, scans and files over a real socket, as each role.</summary>
public sealed class ItemEndpointTests
{
    private const string File = "kit,label,where,item,kind,expected,par,serial,single_use,pairing\nkit-01,loan kit,shelf,U1,earphone unit,1,1,AU-1140,no,pair\nkit-01,,,E1,circumaural earphones,1,1,CE-2207,no,pair\nkit-01,,,W1,wipes,20,10,,yes,\nkit-09,new kit,store,B1,button,1,1,,no,\n";

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    private static async Task<HttpClient> As(RunningHub hub, string name, string role) =>
        new(new HttpClientHandler { CookieContainer = await hub.SignIn(await hub.Person(name, role)) }) { BaseAddress = hub.Address };

    private static HttpClient As(RunningHub hub, TestKit kit) => kit.Http();

    private static ByteArrayContent Jpeg(byte[] bytes) => new(bytes) { Headers = { ContentType = new MediaTypeHeaderValue("image/jpeg") } };

    private static async Task<ImportReply> Import(HttpClient client, string text, bool keep)
    {
        using var answer = await client.PostAsync($"{ImportReply.Path}?keep={(keep ? "true" : "false")}", new StringContent(text, Encoding.UTF8, "text/csv"), Token);
        return (await answer.Content.ReadFromJsonAsync<ImportReply>(Protocol.Json, Token))!;
    }

    private static async Task<ScanReply> Scan(HttpClient client, string text) =>
        (await client.GetFromJsonAsync<ScanReply>($"{ScanReply.Path}?text={Uri.EscapeDataString(text)}", Protocol.Json, Token))!;

    [Fact]
    public async Task APhotoIsKeptWithoutItsPlaceAndShownToRolesAndToItsOwnKitOnly()
    {
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        await using var other = await hub.Kit("kit-02");
        using var pella = await As(hub, "Pella Nyström", Roles.Coordinator);
        using var maren = await As(hub, "Maren Toft", Roles.Clinician);
        using var own = As(hub, kit);
        using var foreign = As(hub, other);
        using var stranger = new HttpClient { BaseAddress = hub.Address };

        using var sent = await own.PostAsync(KitCase.PhotoPath, Jpeg(SamplePictures.Jpeg("GPS 59.91N", 6)), Token);
        var reply = (await sent.Content.ReadFromJsonAsync<PhotoReply>(Protocol.Json, Token))!;
        using var again = await pella.PostAsync("/api/kits/kit-01/photos", Jpeg(SamplePictures.Jpeg("GPS 60.00N", 6)), Token);
        var same = (await again.Content.ReadFromJsonAsync<PhotoReply>(Protocol.Json, Token))!;

        Assert.Matches("^[0-9a-f]{64}$", reply.Photo);
        Assert.Equal(reply.Photo, same.Photo);
        Assert.Single(Directory.GetFiles(Path.Combine(hub.DataFolder, "photos", "kit-01")));
        using var shown = await maren.GetAsync($"/api/kits/kit-01/photos/{reply.Photo}", Token);
        Assert.Equal(HttpStatusCode.OK, shown.StatusCode);
        Assert.Equal("image/jpeg", shown.Content.Headers.ContentType!.MediaType);
        Assert.Equal("nosniff", shown.Headers.GetValues("X-Content-Type-Options").Single());
        Assert.Contains("sandbox", shown.Headers.GetValues("Content-Security-Policy").Single(), StringComparison.Ordinal);
        Assert.DoesNotContain("GPS", Encoding.Latin1.GetString(await shown.Content.ReadAsByteArrayAsync(Token)), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.OK, (await own.GetAsync($"{KitCase.PhotoPath}/{reply.Photo}", Token)).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await foreign.GetAsync($"{KitCase.PhotoPath}/{reply.Photo}", Token)).StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, (await stranger.GetAsync($"/api/kits/kit-01/photos/{reply.Photo}", Token)).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await own.GetAsync($"/api/kits/kit-01/photos/{reply.Photo}", Token)).StatusCode);
    }

    [Theory]
    [InlineData("/api/kits/kit-01/photos/..%2F..%2Fhub.db")]
    [InlineData("/api/kits/..%2F/photos/0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef")]
    [InlineData("/api/kits/kit-01/photos/0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef")]
    public async Task NothingButAKeptPhotoIsServed(string path)
    {
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        using var pella = await As(hub, "Pella Nyström", Roles.Coordinator);

        Assert.Equal(HttpStatusCode.NotFound, (await pella.GetAsync(path, Token)).StatusCode);
    }

    [Fact]
    public async Task WhatIsTooLargeOrNoPictureIsRefusedInWordsAndLeavesNothing()
    {
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        using var pella = await As(hub, "Pella Nyström", Roles.Coordinator);

        foreach (var (body, words) in new[] { (new byte[PhotoStore.LargestBytes + 1], "larger than 8 MB"), ("<svg/>"u8.ToArray(), "JPEG, PNG or WebP") })
        {
            using var answer = await pella.PostAsync("/api/kits/kit-01/photos", Jpeg(body), Token);
            var reply = (await answer.Content.ReadFromJsonAsync<PhotoReply>(Protocol.Json, Token))!;

            Assert.Null(reply.Photo);
            Assert.Contains(words, reply.Refusal!.Sentence, StringComparison.Ordinal);
        }

        Assert.False(Directory.Exists(Path.Combine(hub.DataFolder, "photos", "kit-01")));
    }

    [Fact]
    public async Task AFileIsLookedAtKeptInOneActAndWrittenBackTheSame()
    {
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        using var pella = await As(hub, "Pella Nyström", Roles.Coordinator);
        using var maren = await As(hub, "Maren Toft", Roles.Clinician);

        var looked = await Import(pella, File, keep: false);
        Assert.Equal([false, true], looked.Changes.Select(change => change.New));
        Assert.DoesNotContain("kit-09", await pella.GetStringAsync(ImportReply.ExportPath, Token), StringComparison.Ordinal);

        var broken = await Import(pella, File.Replace("W1,wipes,20,10", "W1,wipes,20,30", StringComparison.Ordinal), keep: true);
        Assert.Equal((4, "par"), broken.Faults.Select(fault => (fault.Line, fault.Column)).Single());
        Assert.DoesNotContain("kit-09", await pella.GetStringAsync(ImportReply.ExportPath, Token), StringComparison.Ordinal);

        Assert.True((await Import(pella, File, keep: true)).Kept);
        var written = await pella.GetByteArrayAsync(ImportReply.ExportPath, Token);
        var read = KitCsvReader.Read(written);
        Assert.Equal(["kit-01", "kit-09"], read.Kits.Select(sheet => sheet.KitId.Value));
        Assert.Equal(["U1", "E1", "W1", "B1"], read.Kits.SelectMany(sheet => sheet.Items).Select(item => item.ItemId));
        Assert.All((await Import(pella, Encoding.UTF8.GetString(written), keep: true)).Changes, change => Assert.Empty(change.Changes));

        var exchanged = await Import(pella, File.Replace("CE-2207", "CE-2208", StringComparison.Ordinal), keep: false);
        Assert.Contains(exchanged.Changes[0].Changes, sentence => sentence.Contains("belong together", StringComparison.Ordinal));
        var alike = await Import(pella, "kit,label,where\nKIT01,a,b\n", keep: true);
        Assert.Contains("same label", alike.Faults.Single().Sentence, StringComparison.Ordinal);
        using var notHers = await maren.PostAsync(ImportReply.Path, new StringContent(File), Token);
        Assert.Equal(HttpStatusCode.Forbidden, notHers.StatusCode);
    }

    [Fact]
    public async Task ALabelIsReadBackByAnotherLibraryAndOpensItsKitAndItem()
    {
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        using var pella = await As(hub, "Pella Nyström", Roles.Coordinator);
        Assert.True((await Import(pella, File, keep: true)).Kept);

        using var sheet = await pella.GetAsync("/papers/labels?kit=kit-01&sheet=letter-21&skip=2", Token);
        var html = await sheet.Content.ReadAsStringAsync(Token);

        Assert.Contains("camera=()", sheet.Headers.GetValues("Permissions-Policy").Single(), StringComparison.Ordinal);
        Assert.Equal(2, Regex.Count(html, "label empty"));
        var drawn = Regex.Matches(html, "<svg class=\"qr\".*?</svg>").Select(match => Decode(match.Value)).ToList();
        var printed = Regex.Matches(html, "<span class=\"code\">(.*?)</span>").Select(match => match.Groups[1].Value).ToList();
        Assert.Equal(4, drawn.Count);
        Assert.Equal(printed, drawn);
        Assert.Equal([ScanFinding.Kit, ScanFinding.Item, ScanFinding.Item, ScanFinding.Item], (await Task.WhenAll(drawn.Select(text => Scan(pella, text)))).Select(reply => reply.Finding));
        Assert.Equal(("kit-01", "W1"), (await Scan(pella, drawn[3].ToLowerInvariant().Replace('-', ' '))) is { } reply ? (reply.KitId!.Value.Value, reply.ItemId) : default);
    }

    [Fact]
    public async Task ANumberOfAKitIsFoundAsItIsTypedAndAWrongNumberOfLabelsIsSaidInWords()
    {
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        using var pella = await As(hub, "Pella Nyström", Roles.Coordinator);

        Assert.Equal(new ScanReply(ScanFinding.Kit, new KitId("kit-01"), null, "This is kit-01."), await Scan(pella, " KIT-01 "));
        using var sheet = await pella.GetAsync("/papers/labels?kit=kit-01&skip=abc", Token);

        Assert.Equal(HttpStatusCode.BadRequest, sheet.StatusCode);
        var html = await sheet.Content.ReadAsStringAsync(Token);
        Assert.Contains("is no number of labels to leave free", html, StringComparison.Ordinal);
        Assert.Contains("<html", html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task WhatIsNoLabelOfAKitHereIsSaidInItsOwnWords()
    {
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        using var pella = await As(hub, "Pella Nyström", Roles.Coordinator);
        var right = LabelCode.Of("kit-01", null).Text;
        var wrong = right[..^1] + (right[^1] == 'A' ? 'B' : 'A');

        Assert.Equal(ScanFinding.Kit, (await Scan(pella, right)).Finding);
        foreach (var (text, finding, words) in new[]
        {
            (wrong, ScanFinding.Mistyped, "check character does not fit"),
            (LabelCode.Of("kit-77", null).Text, ScanFinding.UnknownKit, "no kit KIT77"),
            (LabelCode.Of("kit-01", "X9").Text, ScanFinding.UnknownItem, "nothing on its list has the id X9"),
            ("4006381333931", ScanFinding.Foreign, "Not one of ours"),
            ("https://elsewhere.example/kit-01", ScanFinding.Foreign, "Not one of ours"),
            ("", ScanFinding.Foreign, "Not one of ours"),
        })
        {
            var reply = await Scan(pella, text);
            Assert.Equal(finding, reply.Finding);
            Assert.Contains(words, reply.Sentence, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task AKitReadsItsOwnCaseAndNothingElse()
    {
        await using var hub = await RunningHub.Start();
        await using var kit = await hub.Kit();
        using var pella = await As(hub, "Pella Nyström", Roles.Coordinator);
        using var own = As(hub, kit);
        Assert.True((await Import(pella, File, keep: true)).Kept);

        var told = (await own.GetFromJsonAsync<KitCase>(KitCase.Path, Protocol.Json, Token))!;

        Assert.Equal(new KitId("kit-01"), told.KitId);
        Assert.Equal(["U1", "E1", "W1"], told.Items.Select(item => item.ItemId));
        Assert.Null(told.Packed);
        Assert.Equal(HttpStatusCode.Forbidden, (await pella.GetAsync(KitCase.Path, Token)).StatusCode);
    }

    [Theory]
    [InlineData("/", "camera=(self)")]
    [InlineData("/api/me", "camera=()")]
    [InlineData("/sign-in/none", "camera=()")]
    public async Task TheCameraIsForTheConsoleOnly(string path, string policy)
    {
        await using var hub = await RunningHub.Start();
        using var client = new HttpClient { BaseAddress = hub.Address };

        using var answer = await client.GetAsync(path, Token);

        Assert.Contains(policy, answer.Headers.GetValues("Permissions-Policy").Single(), StringComparison.Ordinal);
    }

    /// <summary>Draws the squares of the SVG as a camera would see them, and has another library read them.</summary>
    private static string Decode(string svg)
    {
        const int Scale = 6;
        var drawing = XElement.Parse(svg);
        var modules = int.Parse(drawing.Attribute("viewBox")!.Value.Split(' ')[2], System.Globalization.CultureInfo.InvariantCulture);
        var size = modules * Scale;
        var grey = Enumerable.Repeat((byte)255, size * size).ToArray();
        foreach (Match square in Regex.Matches(drawing.Element("path")!.Attribute("d")!.Value, @"M(\d+) (\d+)h1v1h-1z"))
        {
            var (left, top) = (int.Parse(square.Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture) * Scale, int.Parse(square.Groups[2].Value, System.Globalization.CultureInfo.InvariantCulture) * Scale);
            foreach (var row in Enumerable.Range(top, Scale))
            {
                grey.AsSpan((row * size) + left, Scale).Clear();
            }
        }

        var picture = new BinaryBitmap(new HybridBinarizer(new RGBLuminanceSource(grey, size, size, RGBLuminanceSource.BitmapFormat.Gray8)));
        return new QRCodeReader().decode(picture)?.Text ?? "not read";
    }
}
