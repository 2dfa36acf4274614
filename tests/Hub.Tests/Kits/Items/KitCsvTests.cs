using System.Text;
using CsvHelper;
using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Items;

namespace TeleHearing.Hub.Tests.Kits.Items;

/// <summary>Kits and items as a file: there and back, and every fault by its line.</summary>
public sealed class KitCsvTests
{
    private static readonly string _head = string.Join(',', KitCsv.Columns);

    /// <summary>Text a person may write into a cell, with all that is special to files and to spreadsheets in front and within.</summary>
    private static Gen<string> Cell(int longest) =>
        from size in Gen.Choose(1, longest)
        from characters in Gen.Elements("abcXYZ09 ,;\"'=+-@/·éß→()".ToCharArray()).ArrayOf(size)
        let text = new string(characters).Trim()
        where text.Length > 0
        select text;

    private static Gen<KitItem> Item(int number) =>
        from kind in Cell(40)
        from serial in Gen.OneOf(Gen.Constant<string?>(null), Cell(20).Select(text => (string?)$"S{number}{text}"))
        from lot in Gen.OneOf(Gen.Constant<string?>(null), Cell(20).Select(text => (string?)text))
        from pairing in Gen.OneOf(Gen.Constant<string?>(null), Cell(10).Select(text => (string?)text))
        from expected in Gen.Choose(1, ItemRules.MostOfOne)
        from par in Gen.Choose(0, expected)
        from day in Gen.Choose(0, 4000)
        from contact in Gen.Elements(Enum.GetValues<ItemContact>())
        from flags in Gen.Choose(0, 31)
        from grams in Gen.Choose(1, 30_000)
        from cells in Gen.Choose(1, 8)
        let count = serial is null ? expected : 1
        select new KitItem($"I{number}", kind, count, Math.Min(par, count))
        {
            Serial = serial,
            Lot = lot,
            Pairing = pairing,
            Contact = contact,
            SingleUse = (flags & 1) != 0,
            WipeSafe = (flags & 2) != 0,
            NeedsCertificate = serial is not null && (flags & 5) == 4,
            Expiry = (flags & 8) == 0 ? null : new DateOnly(2026, 1, 1).AddDays(day),
            MassKg = (flags & 16) == 0 ? null : grams / 1000.0,
            VolumeL = (flags & 16) == 0 ? grams / 750.0 : null,
            ContactTimeSeconds = (flags & 2) == 0 ? null : 60 + (day % 600),
            Battery = (flags & 8) == 0 ? null : new ItemBattery(grams / 999.0, cells, 1 + (day % 4), (flags & 16) != 0),
        };

    private static Gen<IReadOnlyList<KitSheet>> Sheets() =>
        from kits in Gen.Choose(1, 4)
        from sheets in Gen.CollectToList(Enumerable.Range(1, kits), Sheet)
        select (IReadOnlyList<KitSheet>)[.. sheets];

    private static Gen<KitSheet> Sheet(int number) =>
        from label in Cell(30)
        from place in Cell(30)
        from items in Gen.Choose(0, 6)
        from list in Gen.CollectToList(Enumerable.Range(1, items), Item)
        select new KitSheet(new KitId($"kit-{number:00}"), label, place, [.. list], 0);

    /// <summary>A line with the empty cells it lacks.</summary>
    private static string Row(string cells) => cells + new string(',', KitCsv.Columns.Count - 1 - cells.Count(character => character == ','));

    private static KitCsvFile Read(string text) => KitCsvReader.Read(Encoding.UTF8.GetBytes(text));

    [Theory]
    [InlineData(',')]
    [InlineData(';')]
    public void WhatIsWrittenIsReadBackToTheSame(char separator) =>
        Check.One(Config.QuickThrowOnFailure.WithMaxTest(300), Prop.ForAll(Sheets().ToArbitrary(), sheets =>
        {
            var read = KitCsvReader.Read(KitCsvWriter.Write(sheets, separator));

            Assert.Empty(read.Faults);
            Assert.Equal(sheets.Select(sheet => (sheet.KitId, sheet.Label, sheet.Where)), read.Kits.Select(sheet => (sheet.KitId, sheet.Label, sheet.Where)));
            Assert.Equal(sheets.SelectMany(sheet => sheet.Items), read.Kits.SelectMany(sheet => sheet.Items));
        }));

    [Fact]
    public void NoCellBeginsLikeAFormula() =>
        Check.One(Config.QuickThrowOnFailure, Prop.ForAll(Sheets().ToArbitrary(), sheets =>
        {
            using var csv = CsvReader.Create(KitCsvWriter.Write(sheets), new CsvReaderOptions { HasHeader = false });
            while (csv.Read())
            {
                Assert.All(Enumerable.Range(0, csv.FieldCount).Select(csv.GetString), cell => Assert.DoesNotMatch("^[=+@\t\r-]", cell));
            }
        }));

    [Theory]
    [InlineData("")]
    [InlineData("\uFEFF")]
    public void AFileIsReadWithAndWithoutItsMarkAndWithDecimalCommas(string mark)
    {
        var read = Read($"{mark}kit;label;where;item;kind;expected;mass_kg;battery_wh;battery_cells;batteries;battery_in_equipment\r\nkit-01;loan kit;shelf;U1;earphone unit;1;0,85;18,5;4;1;yes\r\n");

        Assert.Empty(read.Faults);
        var item = Assert.Single(Assert.Single(read.Kits).Items);
        Assert.Equal((0.85, new ItemBattery(18.5, 4, 1, true), 1), (item.MassKg, item.Battery, item.ParCount));
    }

    [Fact]
    public void EveryFaultOfABrokenFileIsToldByLineAndColumn()
    {
        var read = Read(string.Join('\n',
            _head,
            Row("kit 01,loan kit,shelf,U1,unit,1,1"), // 2: the kit's number
            Row("kit-01,loan kit,shelf,T1,tips,many,2,,maybe,,14.03.2026,ear,,,,,heavy"), // 3: five faults
            Row("kit-01,another kit,shelf,T1,tips,10,12,,,,,,,,,,,,18"), // 4: label, id twice, par, battery
            string.Empty,
            Row("kit-01,,,,,,,SN-1"), // 6: an item without id
            "kit-01,loan kit")); // 7: too short

        var found = read.Faults.Select(fault => (fault.Line, fault.Column)).ToList();
        (int, string)[] wanted =
            [(2, "kit"), (3, "expected"), (3, "single_use"), (3, "expiry"), (3, "contact"), (3, "mass_kg"), (4, "label"), (4, "item"), (4, "par"), (4, "battery_cells"), (4, "batteries"), (4, "battery_in_equipment"), (6, "item"), (7, "")];
        Assert.Equal(wanted.Order(), found.Order());
        Assert.Empty(read.Kits);
        Assert.All(read.Faults, fault => Assert.EndsWith(".", fault.Sentence, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("", "The file is empty.")]
    [InlineData("number,name\n1,2\n", "is not known")]
    [InlineData("label,where\nx,y\n", "This column is missing")]
    [InlineData("kit,kit\na,b\n", "there twice")]
    [InlineData("kit,label,where\n", "names no kit")]
    [InlineData("kit,label,where\nkit-01,\"loan kit,shelf\n", "quotation marks")]
    [InlineData("kit,label,where\nkit-01,a,b\nKIT-01,a,b\n", "is written kit-01 in line 2")]
    public void AFileThatIsNoneSaysWhy(string text, string words) =>
        Assert.Contains(Read(text).Faults, fault => fault.Sentence.Contains(words, StringComparison.Ordinal));

    [Fact]
    public void AFileInAnotherCodeIsToldSo()
    {
        var read = KitCsvReader.Read([.. "kit,label,where\nkit-01,"u8, 0xE9, .. ",shelf\n"u8]);

        Assert.Contains("not UTF-8", Assert.Single(read.Faults).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void NoBytesAtAllBreakTheReader() =>
        Check.One(Config.QuickThrowOnFailure.WithMaxTest(500), Prop.ForAll(ArbMap.Default.ArbFor<byte[]>(), bytes =>
        {
            var read = KitCsvReader.Read([.. "kit,item\n"u8, .. bytes]);

            Assert.True(read.Faults.Count > 0 || read.Kits.Count > 0);
        }));

    [Fact]
    public void LineBreaksInQuotationMarksDoNotMoveTheLineNumbers()
    {
        var read = Read("kit,label,where,item,kind,expected\nkit-01,\"a\nb\",shelf,U1,unit,1\nkit-01,,,U2,unit,none\n");

        Assert.Contains((4, "expected"), read.Faults.Select(fault => (fault.Line, fault.Column)));
    }
}
