using System.Text.Json.Nodes;
using TeleHearing.Hub.Data;

namespace TeleHearing.Hub.Tests.Data;

/// <summary>Names of others are taken out of what somebody typed, and of nothing else.</summary>
public sealed class OtherPersonsTests
{
    private static readonly OtherPersons _others = new(["Mae", "Right", "Dawn Marsh"], ["Ann", "P-1", "2026"], ["Oda Brekkestad", "P-10"]);

    [Theory]
    [InlineData("Mae says so, and mae again.", "clinic staff 2 says so, and clinic staff 2 again.")]
    [InlineData("Maelstrom in the planned annex", "Maelstrom in the planned annex")]
    [InlineData("P-10 came with P-1.", "P-10 came with another person.")]
    [InlineData("Dawn Marsh (Ann's friend)", "clinic staff 1 (another person's friend)")]
    public void WholeWordsAlone(string text, string without) => Assert.Equal(without, _others.Without(text));

    [Fact]
    public void IdsTimesAndClosedWordsStayAsTheyAre()
    {
        const string Json = """{"kitId":"Ann","sessionId":"0196f3a0-0000-7000-8000-000000002026","at":"2026-03-02T10:00:00Z","on":"2026-03-02","ear":"Right","by":{"id":"Mae","name":"Right"},"levels":[1,2.5],"text":"in 2026"}""";

        var without = _others.Without(JsonNode.Parse(Json))!;

        Assert.Equal("""{"kitId":"Ann","sessionId":"0196f3a0-0000-7000-8000-000000002026","at":"2026-03-02T10:00:00Z","on":"2026-03-02","ear":"Right","by":{"id":"Mae","name":"clinic staff 3"},"levels":[1,2.5],"text":"in another person"}""", without.ToJsonString());
    }
}
