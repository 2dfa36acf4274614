using System.Buffers.Binary;
using System.Text;
using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Hub.Kits.Items;

namespace TeleHearing.Hub.Tests.Kits.Items;

/// <summary>Pictures lose where and when they were taken, and keep everything that draws them.</summary>
public sealed class ImageFileTests
{
    private const string Secret = "GPS 59.91N 10.75E";

    [Fact]
    public void AJpegKeepsItsPictureAndWhichWayUpItIsAndLosesItsPlace()
    {
        var file = SamplePictures.Jpeg(Secret, orientation: 6);
        Assert.Contains(Secret, Latin(file), StringComparison.Ordinal);

        var kept = ImageFile.Strip(file);

        Assert.Null(kept.Fault);
        Assert.Equal(ImageKind.Jpeg, kept.Kind);
        Assert.DoesNotContain(Secret, Latin(kept.Bytes), StringComparison.Ordinal);
        Assert.DoesNotContain("comment", Latin(kept.Bytes), StringComparison.Ordinal);
        Assert.DoesNotContain("second picture", Latin(kept.Bytes), StringComparison.Ordinal);
        Assert.Contains(Latin(SamplePictures.Scan), Latin(kept.Bytes), StringComparison.Ordinal);

        // Exif tag 0x0112, type 3, one value, 6: turned by a quarter.
        Assert.Contains(Latin([0x01, 0x12, 0x00, 0x03, 0x00, 0x00, 0x00, 0x01, 0x00, 0x06]), Latin(kept.Bytes), StringComparison.Ordinal);
        Assert.Equal(kept.Bytes, ImageFile.Strip(kept.Bytes).Bytes);
    }

    [Fact]
    public void APngKeepsOnlyWhatDrawsIt()
    {
        var kept = ImageFile.Strip(SamplePictures.Png(Secret));

        Assert.Null(kept.Fault);
        Assert.DoesNotContain(Secret, Latin(kept.Bytes), StringComparison.Ordinal);
        Assert.Equal(["IHDR", "IDAT", "IEND"], SamplePictures.Chunks(kept.Bytes));
    }

    [Fact]
    public void AWebpKeepsOnlyWhatDrawsItAndItsHeaderSaysSo()
    {
        var kept = ImageFile.Strip(SamplePictures.Webp(Secret));

        Assert.Null(kept.Fault);
        Assert.DoesNotContain(Secret, Latin(kept.Bytes), StringComparison.Ordinal);
        Assert.Equal((uint)kept.Bytes.Length - 8, BinaryPrimitives.ReadUInt32LittleEndian(kept.Bytes.AsSpan(4)));
        Assert.Equal(0, kept.Bytes[20] & 0x2C);
    }

    [Theory]
    [InlineData("GIF89a")]
    [InlineData("<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>")]
    [InlineData("<!doctype html>")]
    [InlineData("")]
    public void WhatIsNoPictureByItsFirstBytesIsRefused(string text) =>
        Assert.Contains("JPEG, PNG or WebP", ImageFile.Strip(Encoding.Latin1.GetBytes(text)).Fault!, StringComparison.Ordinal);

    [Fact]
    public void APictureThatIsCutOffAnywhereIsRefusedAndNothingBreaks()
    {
        foreach (var file in new[] { SamplePictures.Jpeg(Secret, 6, behind: false), SamplePictures.Png(Secret), SamplePictures.Webp(Secret) })
        {
            Assert.Null(ImageFile.Strip(file).Fault);
            Assert.All(Enumerable.Range(0, file.Length - 1), length => Assert.NotNull(ImageFile.Strip(file.AsSpan(0, length)).Fault));
        }
    }

    [Fact]
    public void NoChangedByteBreaksTheReading() =>
        Check.One(Config.QuickThrowOnFailure.WithMaxTest(2000), Prop.ForAll(
            Gen.Choose(0, 2).SelectMany(which => Gen.Choose(0, 10_000).SelectMany(at => Gen.Choose(0, 255).Select(value => (which, at, value)))).ToArbitrary(),
            change =>
            {
                var file = change.which switch { 0 => SamplePictures.Jpeg(Secret, 3), 1 => SamplePictures.Png(Secret), _ => SamplePictures.Webp(Secret) };
                file[change.at % file.Length] = (byte)change.value;

                var kept = ImageFile.Strip(file);

                Assert.True(kept.Fault is not null || kept.Bytes.Length > 0);
            }));

    private static string Latin(ReadOnlySpan<byte> bytes) => Encoding.Latin1.GetString(bytes);
}
