using Microsoft.AspNetCore.Identity;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Identity.Confirmation;

/// <summary>What a console is told of its person and of its cover.</summary>
internal sealed class WhoAmI(SignIns signIns, OwnSessions sessions, UserManager<HubPerson> people, HubSettings settings)
{
    /// <summary>The person, as of now. A console that was left and shut is covered from here on.</summary>
    public async Task<Me> Read(PersonCaller caller, CancellationToken cancellationToken)
    {
        if (signIns.Known(caller.SignInId!) is { Locked: true })
        {
            await sessions.StayIn(caller, cancellationToken);
        }

        return new Me(caller.Id, caller.Name, caller.Roles) { Ways = await Ways(caller.Id), Lock = await Lock(caller, cancellationToken) };
    }

    private async Task<ProofWays> Ways(string personId) => await people.FindByIdAsync(personId) is { } person
        ? new ProofWays((await people.GetPasskeysAsync(person)).Count > 0, person is { PasswordHash: not null, AuthenticatorKey: not null })
        : new ProofWays(Passkey: false, Password: false);

    /// <summary>Where the cover stands.</summary>
    public async Task<LockView> Lock(PersonCaller caller, CancellationToken cancellationToken)
    {
        var signIn = signIns.Known(caller.SignInId!);
        return new LockView(
            signIn is not { Locked: false },
            (int)settings.IdleLimit.TotalSeconds,
            await sessions.AnyRuns(caller.Id, cancellationToken),
            signIn is null ? 0 : (int)signIns.Idle(signIn).TotalSeconds);
    }
}
