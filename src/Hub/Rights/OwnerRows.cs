using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Rights;

/// <summary>What the owner alone does.</summary>
internal static class OwnerRows
{
    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new("Search the audit", Parties.Owner, Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadAudit)), Door.Request<ReadAudit>()) { Trail = Trail.Before },
    ];
}
