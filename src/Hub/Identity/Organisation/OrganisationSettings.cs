using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Identity.Organisation;

/// <summary>How people of an organisation sign in with the account they have there. Read from a JSON file; the client's secret stands in a file of its own or in the environment.</summary>
public sealed record OrganisationSettings
{
    /// <summary>Environment variable with the client's secret, when no file is named.</summary>
    public const string SecretVariable = "TELEHEARING_ORGANISATION_SECRET";

    /// <summary>Microsoft Entra ID.</summary>
    public const string Entra = "entra";

    /// <summary>Any other issuer of OpenID Connect.</summary>
    public const string OpenIdConnect = "openid-connect";

    /// <summary><see cref="Entra"/> or <see cref="OpenIdConnect"/>.</summary>
    public string Kind { get; init; } = string.Empty;

    /// <summary>Address of the issuer, https://…; with Entra the address of the cloud, which is given by default.</summary>
    public string Issuer { get; init; } = "https://login.microsoftonline.com/";

    /// <summary>Id of the tenant, a GUID; Entra alone. Accounts of other tenants are refused.</summary>
    public string? Tenant { get; init; }

    /// <summary>Id under which the issuer knows this hub.</summary>
    public string ClientId { get; init; } = string.Empty;

    /// <summary>File with the client's secret; absent: the environment variable <see cref="SecretVariable"/>.</summary>
    public string? SecretFile { get; init; }

    /// <summary>Which of their roles means which of ours; without it the names are the same.</summary>
    public IReadOnlyDictionary<string, string>? Roles { get; init; }

    /// <summary>Claim that lists the roles.</summary>
    public string RolesClaim { get; init; } = "roles";

    /// <summary>Reads a file.</summary>
    /// <exception cref="ArgumentException">It cannot be read; the message says why.</exception>
    public static OrganisationSettings Read(string file)
    {
        try
        {
            return JsonSerializer.Deserialize<OrganisationSettings>(File.ReadAllText(file), new JsonSerializerOptions(Protocol.Json) { UnmappedMemberHandling = System.Text.Json.Serialization.JsonUnmappedMemberHandling.Disallow })
                ?? throw new JsonException("The file is empty.");
        }
        catch (Exception fault) when (fault is JsonException or IOException or UnauthorizedAccessException)
        {
            throw new ArgumentException($"The file {file} about the organisation's sign-in cannot be used: {fault.Message} Nothing was started. See docs/operations/organisation-sign-in.md.", nameof(file), fault);
        }
    }

    /// <summary>Which of our roles theirs mean; none that we do not know.</summary>
    public IReadOnlyList<string> Ours(IEnumerable<string> theirs) =>
        [.. theirs.Select(role => Roles is null ? role : Roles.GetValueOrDefault(role, string.Empty)).Where(_known.Contains).Distinct().Order(StringComparer.Ordinal)];

    /// <summary>What is wrong, as sentences.</summary>
    public IEnumerable<string> Faults()
    {
        if (Kind is not (Entra or OpenIdConnect))
        {
            yield return $"The organisation's kind must be \"{Entra}\" or \"{OpenIdConnect}\".";
        }

        if (!Uri.TryCreate(Issuer, UriKind.Absolute, out var issuer) || !(issuer.Scheme == Uri.UriSchemeHttps || (issuer.Scheme == Uri.UriSchemeHttp && issuer.IsLoopback)))
        {
            yield return "The organisation's issuer must be an address that begins with https://.";
        }

        if (Kind == Entra && !Guid.TryParse(Tenant, out _))
        {
            yield return "The organisation's tenant must be the id (GUID) of one tenant: words like \"common\" would let accounts of every organisation ask to come in.";
        }

        if (string.IsNullOrWhiteSpace(ClientId))
        {
            yield return "The organisation's clientId is missing: it is the id under which the issuer knows this hub.";
        }

        if (SecretFile is not null && !File.Exists(SecretFile))
        {
            yield return $"There is no file {SecretFile} with the organisation's client secret.";
        }

        foreach (var role in (Roles ?? new Dictionary<string, string>()).Values.Distinct().Where(role => !_known.Contains(role)))
        {
            yield return $"The organisation's roles name \"{role}\"; known are {string.Join(", ", _known)}.";
        }
    }

    /// <summary>The client's secret; null when there is none, as for a public client.</summary>
    internal string? Secret() => SecretFile is { } file ? File.ReadAllText(file).Trim() : Environment.GetEnvironmentVariable(SecretVariable);

    private static readonly string[] _known = [Contracts.Roles.Owner, Contracts.Roles.Clinician, Contracts.Roles.Coordinator, Contracts.Roles.Assistant];
}
