using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Hosting;

/// <summary>A socket's request lives as long as the socket, for hours. What it showed to be let in, cookie or token and proof, is looked at once: from then on the request holds it no longer, which spares memory of every idle connection; copies that nobody holds go with the next collection.</summary>
internal static class SpentProofs
{
    /// <summary>Takes it off the requests of sockets. Stands behind everything that asks who somebody is.</summary>
    public static IApplicationBuilder UseSpentProofs(this IApplicationBuilder app) => app.Use((context, next) =>
    {
        if (context.GetEndpoint()?.Metadata.GetMetadata<HubMetadata>() is not null)
        {
            var headers = context.Request.Headers;
            headers.Cookie = default;
            headers.Authorization = default;
            headers.Remove(Protocol.ProofScheme);

            // The cookies as they were read from their header.
            context.Features.Set<IRequestCookiesFeature>(null);
        }

        return next(context);
    });
}
