namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>A row that holds texts about people. The database holds them sealed; the row object holds them open, in members the database does not know.</summary>
internal interface ISealedRow
{
    /// <summary>Before the row is stored: seals what changed.</summary>
    void Seal(Seals seals);

    /// <summary>After the row was read: opens what is sealed.</summary>
    void Open(Seals seals);
}
