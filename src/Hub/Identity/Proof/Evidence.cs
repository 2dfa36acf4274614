using TeleHearing.Contracts;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>What somebody shows to prove who they are.</summary>
internal abstract record Evidence
{
    /// <summary>Longest text of a field that is looked at, characters: an answer of a passkey is well below.</summary>
    public const int LongestText = 16_384;

    /// <summary>Reads it from a form with the fields <c>credential</c>, or <c>password</c> and <c>code</c>.</summary>
    /// <returns>Null when neither is filled in.</returns>
    public static Evidence? From(IFormCollection form)
    {
        if (Text(form, "credential") is { Length: > 0 } credential)
        {
            return new PasskeyAnswer(credential);
        }

        return (Text(form, "password"), Text(form, "code")) is ({ Length: > 0 } password, { Length: > 0 } code) ? new PasswordAndCode(password, code) : null;
    }

    /// <summary>A field of a form; empty when it is absent or longer than anything sensible.</summary>
    public static string Text(IFormCollection form, string name) => form[name].ToString() is { Length: <= LongestText } text ? text : string.Empty;
}

/// <summary>What a passkey answered to a question of <see cref="PersonProof.Question"/>, as JSON.</summary>
internal sealed record PasskeyAnswer(string Credential) : Evidence;

/// <summary>A password and a code of the authenticator, or a recovery code in its place.</summary>
internal sealed record PasswordAndCode(string Password, string Code) : Evidence;

/// <summary>What a proof came to.</summary>
/// <param name="Person">Who it is; absent when nothing is proven.</param>
/// <param name="Way">How: "passkey", "password and authenticator", "password and recovery code".</param>
/// <param name="Refusal">Why nothing is proven, told alike whatever was wrong.</param>
internal sealed record ProofResult(HubPerson? Person, string? Way, Refusal? Refusal);
