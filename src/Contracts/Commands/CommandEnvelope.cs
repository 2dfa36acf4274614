namespace TeleHearing.Contracts;

/// <summary>A command on its way from a console to the hub.</summary>
/// <param name="ProtocolVersion">Version the console speaks.</param>
/// <param name="CommandId">Id; asking again with the same id returns the first receipt.</param>
/// <param name="SessionId">Session it is for.</param>
/// <param name="ControlEpoch">Epoch of control the console believes in.</param>
/// <param name="ExpectedVersion">Session version the person saw. A command is refused when the session changed stage or control since then; new trials do not make it stale.</param>
/// <param name="ExpiresAt">Hub time after which it must not be carried out.</param>
/// <param name="Command">The command.</param>
public sealed record CommandEnvelope(
    int ProtocolVersion,
    CommandId CommandId,
    SessionId SessionId,
    int ControlEpoch,
    long ExpectedVersion,
    DateTimeOffset ExpiresAt,
    SessionCommand Command);
