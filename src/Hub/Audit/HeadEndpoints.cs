using System.Text;
using TeleHearing.Hub.Storage.Verification;

namespace TeleHearing.Hub.Audit;

/// <summary>The heads of all chains as a file, for the owner to keep elsewhere or to print.</summary>
internal static class HeadEndpoints
{
    public static void MapHeads(this IEndpointRouteBuilder routes) => routes.MapGet("/api/audit/heads", async (bool? print, HeadExchange heads, TimeProvider time, CancellationToken cancellationToken) =>
        Results.File(
            Encoding.UTF8.GetBytes(HeadsFile.Write((await heads.All(cancellationToken)).Select(head => new ChainHead(head.Chain, head.Sequence, head.Hash)), time.GetUtcNow())),
            "text/plain; charset=utf-8",
            print == true ? null : "heads.txt"));
}
