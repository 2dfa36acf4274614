using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Loans;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>What happens next with a kit and by when, from where it stands, what it is promised to and how long each step may take. Pure.</summary>
internal static class NextStep
{
    /// <param name="kit">Kit.</param>
    /// <param name="today">The clinic's day.</param>
    /// <param name="terms">The clinic's terms.</param>
    public static KitTask Of(KitStanding kit, DateOnly today, BoardTerms terms)
    {
        var since = kit.Since ?? today;
        return kit.Stage switch
        {
            KitStage.Draft => new KitTask(KitTaskKind.Settle, "Put it into service", "It is entered and not in service yet.") { Move = "commission-kit" },
            KitStage.Commissioned => kit.CheckPassed
                ? new KitTask(KitTaskKind.Check, "Release it", "Its function check passed.") { By = today, Move = "release-kit" }
                : new KitTask(KitTaskKind.Check, "Check it", "It is in service and not checked yet.") { By = today, Move = "record-function-check" },
            KitStage.Available => Shelf(kit),
            KitStage.Reserved or KitStage.Packed or KitStage.AwaitingPickup => Leaving(kit, today, terms),
            KitStage.InTransitOut => Arriving(kit, since, today, terms),
            KitStage.Delivered => new KitTask(KitTaskKind.Chase, "The site opens and counts it", $"It was delivered on {BoardDays.Words(since)}.") { By = WorkingDays.From(terms.Calendar, since.AddDays(BoardDays.SiteActs)), Move = "check-in-kit" },
            KitStage.CheckedInAtSite or KitStage.InUse => AtSite(kit),
            KitStage.AwaitingReturn => new KitTask(KitTaskKind.Chase, "The site hands it to the carrier", $"It is packed at the site since {BoardDays.Words(since)}.") { By = Soonest(kit, WorkingDays.From(terms.Calendar, since.AddDays(BoardDays.SiteActs))), Move = "send-kit" },
            KitStage.InTransitBack => new KitTask(KitTaskKind.Receive, "Receive it", $"It is on its way back since {BoardDays.Words(since)}.") { By = kit.Loan?.DueBack ?? WorkingDays.Later(terms.Calendar, since, terms.TransitBackDays), Move = "receive-kit" },
            KitStage.MissingParcel => new KitTask(KitTaskKind.Chase, "Search for the parcel", $"The carrier cannot say where it is since {BoardDays.Words(since)}.{GivenUp(kit, terms)}") { By = today, Move = "report-kit-found" },
            KitStage.Lost => new KitTask(KitTaskKind.Wait, "Nothing", "It is given up as lost."),
            KitStage.Stolen => new KitTask(KitTaskKind.Wait, "Nothing", "It was stolen."),
            KitStage.Retired => new KitTask(KitTaskKind.Wait, "Nothing", "It is out of service."),
            _ => AtBase(kit, since, today, terms),
        };
    }

    // Counted from the day it is due back, as the clinic's ladder does.
    private static string GivenUp(KitStanding kit, BoardTerms terms) =>
        terms.GivenUpAfterDays is { } days && kit.Loan is { } loan ? $" On {BoardDays.Words(loan.DueBack.AddDays(days))} it is given up." : string.Empty;

    private static KitTask Shelf(KitStanding kit) => kit.Promised.FirstOrDefault() is { } loan
        ? new KitTask(KitTaskKind.Wait, $"Free until {BoardDays.Words(loan.From)}", $"Then it goes to {loan.Place}.") { By = loan.From }
        : new KitTask(KitTaskKind.Wait, "Free", "Nothing is planned with it.");

    private static KitTask Leaving(KitStanding kit, DateOnly today, BoardTerms terms)
    {
        if (kit.Next is not { } loan)
        {
            return new KitTask(KitTaskKind.Settle, "See which loan it is for", "It is promised, and no loan is recorded.");
        }

        var (what, move, by) = kit.Stage switch
        {
            KitStage.Reserved => ("Pack it", "pack-kit", WorkingDays.Before(terms.Calendar, loan.From)),
            KitStage.Packed => ("Close and label the parcel", "stage-kit", loan.From),
            _ => ("Hand it to the carrier", "send-kit", loan.From),
        };
        var late = today > loan.From ? $" That was {BoardDays.Count(today.DayNumber - loan.From.DayNumber)} ago." : string.Empty;
        return new KitTask(KitTaskKind.Ship, what, $"It leaves for {loan.Place} on {BoardDays.Words(loan.From)}.{late}") { By = by, Move = move };
    }

    private static KitTask Arriving(KitStanding kit, DateOnly since, DateOnly today, BoardTerms terms)
    {
        var expected = WorkingDays.Later(terms.Calendar, since, terms.TransitOutDays);
        var place = kit.Loan is { } loan ? $" to {loan.Place}" : string.Empty;
        return kit.Carrier is { Status: CarrierStatus.DeliveryFailed }
            ? new KitTask(KitTaskKind.Chase, "Settle the delivery", $"The carrier could not deliver it{place}.") { By = today, Move = "record-carrier" }
            : today > expected
            ? new KitTask(KitTaskKind.Chase, "Ask the carrier", $"It left{place} on {BoardDays.Words(since)} and should have arrived by {BoardDays.Words(expected)}.") { By = today, Move = "record-carrier" }
            : new KitTask(KitTaskKind.Wait, "It arrives", $"It is with the carrier{place} since {BoardDays.Words(since)}.") { By = expected, Move = "record-carrier" };
    }

    private static KitTask AtSite(KitStanding kit) => kit.Loan is { } loan
        ? new KitTask(KitTaskKind.Wait, "The site sends it back", $"It is lent to {loan.Place}.") { By = loan.DueBack, Move = "pack-up-kit" }
        : new KitTask(KitTaskKind.Wait, "The session ends", "A session is using it at its base.");

    private static KitTask AtBase(KitStanding kit, DateOnly since, DateOnly today, BoardTerms terms)
    {
        var ready = Ready(kit, since, terms);
        return kit.Stage switch
        {
            KitStage.Received => new KitTask(KitTaskKind.Clean, "Clean it", $"It came back on {BoardDays.Words(since)}.") { By = since, Move = "begin-cleaning" },
            KitStage.Quarantine => new KitTask(KitTaskKind.Clean, "Clean it", $"It is put aside until {BoardDays.Words(kit.QuarantineUntil ?? since)}.") { By = kit.QuarantineUntil ?? since, Move = "begin-cleaning" },
            KitStage.Cleaning => new KitTask(KitTaskKind.Clean, "Sign the cleaning", $"It is being cleaned since {BoardDays.Words(since)}.") { By = ready, Move = "sign-turnaround" },
            KitStage.Inspection => new KitTask(KitTaskKind.Clean, "Look it over", "It is clean.") { By = ready, Move = "sign-turnaround" },
            KitStage.Restock => new KitTask(KitTaskKind.Clean, "Fill it up", "It is clean and looked over.") { By = ready, Move = "sign-turnaround" },
            KitStage.FunctionCheck => kit.CheckPassed
                ? new KitTask(KitTaskKind.Check, "Release it", "Its function check passed.") { By = ready, Move = "release-kit" }
                : new KitTask(KitTaskKind.Check, "Check it", "It is clean, looked over and filled up.") { By = ready, Move = "record-function-check" },
            KitStage.Repair => new KitTask(KitTaskKind.Repair, "Have it repaired", $"It is in repair since {BoardDays.Words(since)}.") { By = NextLeaves(kit, terms), Move = "finish-repair" },
            _ => Laboratory(kit, today),
        };
    }

    private static KitTask Laboratory(KitStanding kit, DateOnly today) => kit.Laboratory is { } laboratory
        ? new KitTask(
            KitTaskKind.Calibrate,
            today > laboratory.ExpectedBack ? "Ask the laboratory" : "It comes back from the laboratory",
            $"{laboratory.Name} was to send it back by {BoardDays.Words(laboratory.ExpectedBack)}.") { By = laboratory.ExpectedBack, Move = "take-from-laboratory" }
        : new KitTask(KitTaskKind.Calibrate, "It comes back from the laboratory", "It is being calibrated.") { Move = "take-from-laboratory" };

    // The turnaround is over by the clinic's terms, and in any case in time for the next loan.
    private static DateOnly Ready(KitStanding kit, DateOnly since, BoardTerms terms)
    {
        var usual = WorkingDays.Later(terms.Calendar, since, terms.TurnaroundDays);
        return NextLeaves(kit, terms) is { } leaves && leaves < usual ? leaves : usual;
    }

    private static DateOnly? NextLeaves(KitStanding kit, BoardTerms terms) => kit.Promised.FirstOrDefault() is { } loan ? WorkingDays.Before(terms.Calendar, loan.From) : null;

    private static DateOnly Soonest(KitStanding kit, DateOnly day) => kit.Loan is { } loan && loan.DueBack < day ? loan.DueBack : day;
}
