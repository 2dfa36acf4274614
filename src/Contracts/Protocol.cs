using System.Text.Json;
using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>Constants of the wire. The protocol is described in docs/protocol.md; fields are added, never renamed.</summary>
public static class Protocol
{
    /// <summary>The version this build speaks.</summary>
    public const int Version = 1;

    /// <summary>The oldest version this build still understands.</summary>
    public const int OldestAccepted = 1;

    /// <summary>Where the console's SignalR connection goes.</summary>
    public const string ConsoleHubPath = "/hubs/console";

    /// <summary>Where a kit's SignalR connection goes.</summary>
    public const string KitHubPath = "/hubs/kit";

    /// <summary>Where a kit enrols over HTTP with its one-time code.</summary>
    public const string EnrolPath = "/api/kits/enrol";

    /// <summary>Where a kit exchanges an assertion for a token (RFC 7523).</summary>
    public const string KitTokenPath = "/kit/token";

    /// <summary>Grant of that exchange (RFC 7523 section 2.1).</summary>
    public const string KitGrantType = "urn:ietf:params:oauth:grant-type:jwt-bearer";

    /// <summary>Scheme of the Authorization header with such a token, and name of the header with its proof (RFC 9449 sections 4.1 and 7.1).</summary>
    public const string ProofScheme = "DPoP";

    /// <summary>Audience of the short-lived assertion a kit signs for every connection.</summary>
    public const string KitAudience = "telehearing-hub";

    /// <summary>How long sound may go on after the last lease renewal was sent, in ms.</summary>
    public const int LeaseLengthMs = 1000;

    /// <summary>How often the hub renews the lease while sound may be on, in ms.</summary>
    public const int LeaseRenewalMs = 200;

    /// <summary>How often a console says that whoever commands a session is still there, in ms.</summary>
    public const int ControlRenewalMs = 10_000;

    /// <summary>Whether a peer's version can be served.</summary>
    public static bool Accepts(int version) => version is >= OldestAccepted and <= Version;

    /// <summary>JSON settings of every message and stored payload: camel case, enums as names, and "NaN" readable so that a validator can refuse it with a sentence.</summary>
    public static JsonSerializerOptions Json { get; } = Configure(new JsonSerializerOptions());

    /// <summary>Applies the settings of <see cref="Json"/> to another options object.</summary>
    public static JsonSerializerOptions Configure(JsonSerializerOptions options)
    {
        options.PropertyNamingPolicy = JsonNamingPolicy.CamelCase;
        options.PropertyNameCaseInsensitive = true;
        options.NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals;
        options.DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull;
        options.AllowOutOfOrderMetadataProperties = true;
        return options;
    }
}
