namespace TeleHearing.Hub.Data;

/// <summary>Something about backup, export or erasing that whoever asked can put right; the message is shown as it is.</summary>
/// <param name="message">What happened, what is safe, what to do next.</param>
internal sealed class DataFault(string message) : Exception(message)
{
    /// <summary>The records are not in the data folder.</summary>
    public static DataFault OnAServer() => new("The records of this hub are in a PostgreSQL database, so they are backed up and restored there, with pg_dump and pg_restore, and the key file is kept elsewhere (docs/operations/scale.md). Nothing was written.");

    /// <summary>Nobody has this reference.</summary>
    public static DataFault Nobody(string reference, string done) =>
        new($"There is nobody with the reference {reference} in this hub, or what was recorded about them was erased. Nothing was {done}. Give the reference as it stands on the session.");

    /// <summary>A place cannot be written.</summary>
    public static DataFault CannotWrite(string path, Exception fault) =>
        new($"{path} cannot be written: {fault.Message} Nothing was changed. Name another place, or make room and give yourself the right to write there.");
}
