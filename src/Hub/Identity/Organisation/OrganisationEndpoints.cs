using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Identity.Organisation;

/// <summary>The way to the organisation's sign-in. The way back is the handler's own (<see cref="OrganisationRegistration.BackPath"/>).</summary>
internal static class OrganisationEndpoints
{
    public static void MapOrganisation(this IEndpointRouteBuilder routes) => routes.MapGet("/sign-in/organisation", (HttpContext http, HubSettings settings, TimeProvider time) =>
        settings.Organisation is null
            ? (IResult)OrganisationPages.Absent()
            : Results.Challenge(WayThere.From(http.User, time.GetUtcNow()).Kept(), [OrganisationRegistration.Scheme]));
}
