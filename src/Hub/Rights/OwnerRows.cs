using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Observing;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Rights;

/// <summary>What the owner alone does.</summary>
internal static class OwnerRows
{
    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new("Search the audit", Parties.Owner, Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadAudit)), Door.Request<ReadAudit>()) { Trail = Trail.Before },
        new("Ask for what concerns all data; each kind has its own row", Parties.Owner, Door.Method<ConsoleHub>(nameof(IConsoleHub.AskData)), Door.Request<AskData>()) { Trail = Trail.Before, NeedsConfirmation = true },
        new("Back up the hub", Parties.Owner, Door.Command<BackUp>()) { Trail = Trail.Before, NeedsConfirmation = true },
        new("Export a person's data", Parties.Owner, Door.Command<ExportPerson>()) { Trail = Trail.Before, NeedsConfirmation = true },
        new("Erase a person", Parties.Owner, Door.Command<ErasePerson>()) { Trail = Trail.Before, NeedsConfirmation = true },
        new("See what was erased", Parties.Owner, Door.Command<ReadErasures>()) { Trail = Trail.Before, NeedsConfirmation = true },
        new("Fetch a backup or an export that was asked for and confirmed", Parties.Owner, Door.Http("GET", DataReply.Path + "/{ticket:guid}")) { Trail = Trail.Before },
        new("See who works with the hub", Parties.Owner, Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadPeople)), Door.Request<ReadPeople>()) { Trail = Trail.Before },
        new(
            "Invite people, change their roles, close accounts, end sign-ins, give a new link",
            Parties.Owner,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.AskPeople)),
            Door.Request<AskPeopleCommand>()) { NeedsConfirmation = true, Trail = Trail.Before },
        new("Take out the heads of all chains", Parties.Owner, Door.Http("GET", "/api/audit/heads")) { Trail = Trail.Before },
        new("See how the hubs are", Parties.Owner, Door.Http("GET", StatusPage.Path), Door.Http("GET", StatusPage.Path + "/now")),
        new("Change the texts consent is asked by", Parties.Owner, Door.Method<ConsoleHub>(nameof(IConsoleHub.KeepConsentText)), Door.Request<KeepConsentText>()) { NeedsConfirmation = true, Trail = Trail.Before },
    ];
}
