using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests.Kits;

/// <summary>An invented kit board.</summary>
internal static class SampleBoard
{
    public static readonly DateOnly Today = DateOnly.FromDateTime(SampleViews.HubTime.UtcDateTime);

    public static readonly LoanId Loan = LoanId.New();

    public static KitBoardView Of(params KitBoardRow[] rows) => new(SampleViews.HubTime, Today, rows);

    public static KitBoardRow Shelf(int number) => new(new KitId($"kit-{number}"), "loan kit, circumaural earphones", "Office shelf", false, KitStage.Available)
    {
        Since = Today.AddDays(-number % 40),
        CalibratedUntil = Today.AddDays(20 + number),
        Calibration = CalibrationStanding.Holds,
        Tasks = [new KitTask(KitTaskKind.Wait, "Free", "Nothing is planned with it.")],
    };

    public static KitBoardRow Received(int number) => Shelf(number) with
    {
        Stage = KitStage.Received,
        Tasks = [new KitTask(KitTaskKind.Clean, "Clean it", "It came back yesterday.") { By = Today.AddDays(-1), Move = "begin-cleaning" }],
    };

    public static KitBoardRow Overdue(int number) => Shelf(number) with
    {
        Stage = KitStage.CheckedInAtSite,
        Where = "Linden Court",
        Loan = new KitBoardLoan(Loan, "Linden Court", Today.AddDays(-15), Today.AddDays(-3)),
        Tasks =
        [
            new KitTask(KitTaskKind.Wait, "The site sends it back", "It is lent to Linden Court.") { By = Today.AddDays(-3), Move = "pack-up-kit" },
            new KitTask(KitTaskKind.Chase, "Chase the return", "It was due back 3 days ago.") { By = Today, Move = "take-reminder-step" },
        ],
    };

    public static KitBoardRow Held(int number) => Shelf(number) with
    {
        Holds = [new KitHold(KitHoldKind.BatterySuspect, "Battery in doubt: it is swollen.", true, true)],
        Tasks = [new KitTask(KitTaskKind.Wait, "Free", "Nothing is planned with it."), new KitTask(KitTaskKind.Settle, "Clear the hold", "Battery in doubt: it is swollen.") { Move = "lift-hold" }],
    };

    public static KitBoardRow Packed(int number) => Shelf(number) with
    {
        Stage = KitStage.Packed,
        Loan = new KitBoardLoan(Loan, "Otter Bridge", Today.AddDays(2), Today.AddDays(14)),
        Tasks = [new KitTask(KitTaskKind.Ship, "Close and label the parcel", "It leaves for Otter Bridge.") { By = Today.AddDays(2), Move = "stage-kit" }],
    };
}
