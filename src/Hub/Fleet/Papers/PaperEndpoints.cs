using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Items;

namespace TeleHearing.Hub.Fleet.Papers;

/// <summary>Papers of loans as pages to print, for those who may look after kits or ask for loans.</summary>
internal static class PaperEndpoints
{
    public static void MapFleet(this IEndpointRouteBuilder routes) =>
        routes.MapGet("/papers/loan/{id:guid}", async (Guid id, HttpContext http, FleetFacts fleet, KitFacts kits, PhotoStore photos, CancellationToken cancellationToken) =>
        {
            var state = (await fleet.Load(cancellationToken)).State;
            var context = await fleet.Context(state, FleetFacts.Nobody, caresForKits: false, cancellationToken);
            if (FleetViewBuilder.Loan(state, new LoanId(id), context) is not { KitId: { } kitId } loan || await kits.Load(kitId, cancellationToken) is not { } kit)
            {
                return Results.NotFound("There is no such loan, or no kit is chosen for it yet.");
            }

            http.Response.Headers.CacheControl = "no-store";
            var packed = PackedCase.Of(kit.State, loan.Request.LoanId);
            var content = new LoanPaperContent(loan, kitId, kit.Row.Label, kit.State.Items, state.Terms, context.Today)
            {
                Packed = packed,
                PhotoAddress = packed?.Photo is { } photo && photos.Find(kitId, photo) is not null ? PhotoEndpoints.Address(kitId, photo) : null,
            };
            return ServerPage.Html(LoanPapers.Write(content), LoanPapers.Style);
        });
}
