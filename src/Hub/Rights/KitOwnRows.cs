using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Kits.Wipes;

namespace TeleHearing.Hub.Rights;

/// <summary>What a kit asks with its own key.</summary>
internal static class KitOwnRows
{
    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new(
            "Connect, greet, hand over reports, attest what was wiped, pass on lamps",
            Parties.Kit,
            Door.Http("*", Protocol.KitHubPath),
            Door.Http("*", Protocol.KitHubPath + "/negotiate"),
            Door.Method<KitHub>(nameof(IKitHub.Challenge)),
            Door.Method<KitHub>(nameof(IKitHub.Hello)),
            Door.Method<KitHub>(nameof(IKitHub.Report)),
            Door.Method<KitHub>(nameof(IKitHub.Wiped)),
            Door.Method<KitHub>(nameof(IKitHub.Signal)),
            Door.Request<ChallengeKit>(),
            Door.Request<GreetKit>(),
            Door.Request<RecordKitReports>(),
            Door.Request<RecordWipe>(),
            Door.Request<PassSignal>(),
            Door.Request<LoseKit>()),
        new(
            "Read what should be in its own case, with photos, and hand in photos of it",
            Parties.Kit,
            Door.Http("GET", KitCase.Path),
            Door.Http("POST", KitCase.PhotoPath),
            Door.Http("GET", KitCase.PhotoPath + "/{photo}")),
    ];
}
