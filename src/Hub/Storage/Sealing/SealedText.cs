namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>A text of a row that the database holds sealed. Remembers what was read, so that a text nobody changed is not sealed anew, and one that could not be opened is not written over.</summary>
internal sealed class SealedText
{
    private string? _known;

    /// <summary>What to store.</summary>
    /// <param name="seals">Seals.</param>
    /// <param name="scope">Whose key.</param>
    /// <param name="place">Table and row.</param>
    /// <param name="text">The open text.</param>
    /// <param name="stored">What is stored now.</param>
    public string? Close(Seals seals, string scope, string place, string? text, string? stored)
    {
        if (text is null)
        {
            return null;
        }

        if (stored is not null && text == _known)
        {
            return stored;
        }

        _known = text;
        return seals.Close(scope, place, text);
    }

    /// <summary>What to show.</summary>
    /// <returns>Null when nothing is stored.</returns>
    /// <inheritdoc cref="Close"/>
    public string? Open(Seals seals, string scope, string place, string? stored, string otherwise = Seals.Unreadable) =>
        _known = stored is null ? null : seals.Open(scope, place, stored) ?? otherwise;

    /// <summary>Says in which words the text is known that was just opened, where they are not those that were sealed.</summary>
    public void Keep(string text) => _known = text;
}
