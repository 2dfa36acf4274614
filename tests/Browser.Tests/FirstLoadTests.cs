using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Microsoft.Playwright;
using TeleHearing.Browser.Tests.Support;
using static Microsoft.Playwright.Assertions;

namespace TeleHearing.Browser.Tests;

/// <summary>What a clinician waits for the first time.</summary>
public sealed class FirstLoadTests(FastClinic clinic, ITestOutputHelper output) : IClassFixture<FastClinic>
{
    /// <summary>Most bytes a first load may take over the wire. A build for development is not trimmed and carries symbols; a published console is far smaller.</summary>
    private const long MostBytes = 16_000_000;

    /// <summary>Of a small file the gzip copy may be the smaller one, and is then what is sent.</summary>
    private const long BrotliFromBytes = 10_000;

    /// <summary>Smaller files gain nothing from being compressed.</summary>
    private const long CompressedFromBytes = 2_000;

    [Fact]
    public async Task FirstLoadIsBrotliAndSmall()
    {
        await using var context = await clinic.Browser.NewPerson(1440, 900, clinic.ClinicianSignIn);
        var page = await context.NewPageAsync();
        var devtools = await context.NewCDPSessionAsync(page);
        var answers = new ConcurrentDictionary<string, Answer>();
        devtools.Event("Network.responseReceived").OnEvent += (_, sent) =>
        {
            var id = sent!.Value.GetProperty("requestId").GetString()!;
            answers[id] = Answer.Read(sent.Value.GetProperty("response"));
        };
        var bytes = new ConcurrentDictionary<string, long>();
        devtools.Event("Network.loadingFinished").OnEvent += (_, sent) =>
            bytes[sent!.Value.GetProperty("requestId").GetString()!] = (long)sent.Value.GetProperty("encodedDataLength").GetDouble();
        await devtools.SendAsync("Network.enable");

        var watch = Stopwatch.StartNew();
        await page.GotoAsync(clinic.Console.ToString());
        await Expect(page.GetByRole(AriaRole.Link, new() { NameRegex = new("^Open the session of Oda Brekkestad") })).ToBeVisibleAsync();
        var usable = watch.Elapsed;

        var assets = answers.Where(pair => bytes.ContainsKey(pair.Key) && pair.Value.IsAsset).Select(pair => (pair.Value, Bytes: bytes[pair.Key])).ToList();
        var total = bytes.Values.Sum();
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"First load: {total:N0} bytes in {bytes.Count} answers ({assets.Count} assets); usable after {usable.TotalSeconds:0.0} s."));
        foreach (var (answer, size) in assets.OrderByDescending(asset => asset.Bytes).Take(8))
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {size,10:N0}  {answer.Encoding,-4} {answer.Path}"));
        }

        Assert.True(assets.Count > 20, "The console's own files were not seen on the wire.");
        Assert.All(assets.Where(asset => asset.Bytes > CompressedFromBytes), asset => Assert.NotEqual("none", asset.Item1.Encoding));
        Assert.All(assets.Where(asset => asset.Bytes > BrotliFromBytes), asset => Assert.True(asset.Item1.Encoding == "br", $"{asset.Item1.Path} came as \"{asset.Item1.Encoding}\"."));
        Assert.InRange(total, 1, MostBytes);

        await page.ReloadAsync();
        await Expect(page.GetByRole(AriaRole.Link, new() { NameRegex = new("^Open the session of Oda Brekkestad") })).ToBeVisibleAsync();
        var again = bytes.Values.Sum() - total;
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Second load: {again:N0} bytes."));
        Assert.InRange(again, 0, total / 4);
    }

    private sealed record Answer(string Path, string Encoding)
    {
        private static readonly string[] _assetEndings = [".wasm", ".js", ".css", ".dat"];

        public bool IsAsset => _assetEndings.Any(ending => Path.EndsWith(ending, StringComparison.Ordinal));

        public static Answer Read(JsonElement response)
        {
            var encoding = response.GetProperty("headers").EnumerateObject().FirstOrDefault(header => header.Name.Equals("content-encoding", StringComparison.OrdinalIgnoreCase));
            return new Answer(new Uri(response.GetProperty("url").GetString()!).AbsolutePath, encoding.Value.ValueKind == JsonValueKind.String ? encoding.Value.GetString()! : "none");
        }
    }
}
