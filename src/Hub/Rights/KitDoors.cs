using TeleHearing.Contracts;

namespace TeleHearing.Hub.Rights;

/// <summary>Doors of commands about kits.</summary>
internal static class KitDoors
{
    /// <summary>Narrows commands that take levels out of a session, which shows results.</summary>
    public const string FromSession = "from a session";

    /// <summary>The door of a command.</summary>
    public static string Of(KitCommand command) => Door.Command(command.GetType(), command is RecordBaseline { From: not null } or RecordKnownEar { From: not null } ? FromSession : null);
}
