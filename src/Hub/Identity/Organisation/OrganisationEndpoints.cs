using Microsoft.AspNetCore.Authentication;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Identity.Organisation;

/// <summary>The way to the organisation's sign-in. The way back is the handler's own (<see cref="OrganisationRegistration.BackPath"/>).</summary>
internal static class OrganisationEndpoints
{
    public static void MapOrganisation(this IEndpointRouteBuilder routes) => routes.MapGet("/sign-in/organisation", (HubSettings settings) =>
        settings.Organisation is null
            ? (IResult)OrganisationPages.Absent()
            : Results.Challenge(new AuthenticationProperties { RedirectUri = "/" }, [OrganisationRegistration.Scheme]));
}
