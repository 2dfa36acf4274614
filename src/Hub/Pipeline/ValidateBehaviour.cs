using System.Globalization;
using MediatR;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Fourth: refuses a version that is not spoken here, and says everything that is wrong with the content at once.</summary>
internal sealed class ValidateBehaviour<TRequest, TResponse> : IPipelineBehavior<TRequest, TResponse>
    where TRequest : IHubRequest<TResponse>, IValidated
{
    public Task<TResponse> Handle(TRequest request, CancellationToken cancellationToken, RequestHandlerDelegate<TResponse> next)
    {
        if (request.ProtocolVersion is { } version && !Protocol.Accepts(version))
        {
            return Task.FromResult(request.Refused(Refusals.Version(version)));
        }

        var faults = request.Faults();
        return faults.Count == 0
            ? next()
            : Task.FromResult(request.Refused(new Refusal(RefusalCodes.Invalid, string.Join(" ", faults), "Nothing was carried out. Put it right, then ask again.")));
    }
}

/// <summary>Refusals that several places give.</summary>
internal static class Refusals
{
    public static Refusal Version(int version) => new(
        RefusalCodes.ProtocolVersion,
        string.Create(CultureInfo.InvariantCulture, $"The other side speaks version {version} of the protocol; this hub speaks {Protocol.OldestAccepted} to {Protocol.Version}."),
        "Update the older of the two; a console updates by reloading the page.");

    public static Refusal UnknownSession { get; } = new(RefusalCodes.SessionUnknown, "There is no such session.", "Go back to the start page.");

    public static Refusal Erased { get; } = new(RefusalCodes.SessionUnknown, "What was recorded in this session was erased. Nothing can be added to it.", "Go on in a new session.");

    public static Refusal Damaged(long? sequence) => new(
        RefusalCodes.SessionDamaged,
        string.Create(CultureInfo.InvariantCulture, $"The log of this session was changed from outside at entry {sequence}. The session can be read only."),
        "Keep the data folder as it is, tell the owner, and go on in a new session.");
}
