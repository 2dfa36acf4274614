using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Identity.SignedIn;

namespace TeleHearing.Hub.Identity.Confirmation;

/// <summary>Proving again that it is you, by what one signs in with. Wrong tries count as they do there, and stand in the audit.</summary>
internal static class ConfirmationEndpoints
{
    public static void MapConfirmation(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/api/confirm/question", async (HttpContext http, PersonProof proof) =>
            Results.Text(await proof.Question(PersonCaller.From(http.User).Id), "application/json"));

        routes.MapPost("/api/confirm", async (ProofShown shown, HttpContext http, PersonProof proof, SignIns signIns, AuditTrail trail) =>
        {
            var caller = PersonCaller.From(http.User);
            var result = await proof.Is(caller.Id, Shown(shown));
            if (result.Refusal is null)
            {
                await trail.Act(AuditActs.Confirmed, caller.Id);
                await signIns.Confirm(caller.SignInId!);
            }

            return Results.Json(new ProofReply(result.Refusal), Protocol.Json);
        });
    }

    private static Evidence? Shown(ProofShown shown) => shown switch
    {
        { Passkey: { Length: > 0 and <= Evidence.LongestText } answer } => new PasskeyAnswer(answer),
        { Password: { Length: > 0 and <= Evidence.LongestText } password, Code: { Length: > 0 and <= Evidence.LongestText } code } => new PasswordAndCode(password, code),
        _ => null,
    };
}
