using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>A kit's key as its page shows it. Pure.</summary>
internal static class KeyViews
{
    public static KitKeyView Of(LoadedKit kit)
    {
        var row = kit.Row;
        return row switch
        {
            { PublicKeyPem: { } pem } => new KitKeyView(KitKeyStanding.Serves, At(row.KeySinceTicks), KitThumbprint.OfPem(pem), kit.KeyLoan),
            { RevokedTicks: { } taken } => new KitKeyView(KitKeyStanding.TakenAway, At(taken), null, null),
            { KeyRetiredTicks: { } retired } => new KitKeyView(KitKeyStanding.Retired, At(retired), null, null),
            _ => new KitKeyView(KitKeyStanding.None, null, null, null),
        };
    }

    private static DateTimeOffset? At(long? ticks) => ticks is { } known ? new DateTimeOffset(known, TimeSpan.Zero) : null;
}
