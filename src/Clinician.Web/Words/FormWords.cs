using System.Globalization;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Choices of the forms in the reader's words.</summary>
public static class FormWords
{
    /// <summary>What consent is for.</summary>
    public static string Purpose(ConsentPurpose purpose) => purpose switch
    {
        ConsentPurpose.Care => "The hearing test",
        ConsentPurpose.RemoteMode => "Doing it at a distance",
        ConsentPurpose.Assistant => "The assistant's help",
        ConsentPurpose.Images => "Pictures of the ear",
        ConsentPurpose.Recording => "Recording sound or picture",
        ConsentPurpose.Sharing => "Sending results to others",
        _ => "Borrowing the kit",
    };

    /// <summary>What was seen in an ear.</summary>
    public static string Finding(EarFinding finding) => finding switch
    {
        EarFinding.Clear => "Clear",
        EarFinding.SomeWax => "Some wax",
        EarFinding.BlockedByWax => "Blocked by wax",
        EarFinding.DischargeOrBlood => "Discharge or blood",
        EarFinding.PainOnTouch => "Pain on touch",
        EarFinding.ForeignBody => "Something in the ear",
        EarFinding.PerforationOrTube => "Perforation or tube",
        EarFinding.RecentSurgery => "Recent surgery",
        EarFinding.NotSeen => "Not seen, or declined",
        _ => "Other",
    };

    /// <summary>What a warning sign leads to.</summary>
    public static string Action(WarningAction action) => action switch
    {
        WarningAction.NoneNeeded => "Nothing needed",
        WarningAction.RoutineReferral => "Routine referral",
        WarningAction.UrgentReferral => "Urgent referral",
        WarningAction.SameDay => "Seen the same day",
        _ => "Emergency",
    };

    /// <summary>A stopping rule.</summary>
    public static string Rule(StoppingRule rule) => rule switch
    {
        StoppingRule.TwoOfThree => "2 of 3 ascents",
        StoppingRule.TwoOfThreeAscents => "2 of 3 ascents, new series after 3",
        _ => "3 of 5 ascents",
    };

    /// <summary>A transducer.</summary>
    public static string Transducer(TransducerKind kind) => kind switch
    {
        TransducerKind.SupraAural => "supra-aural earphones",
        TransducerKind.Insert => "insert earphones",
        TransducerKind.HighFrequencyInsert => "high-frequency insert earphones",
        _ => "circumaural earphones",
    };

    /// <summary>A time of day where this browser is.</summary>
    public static string Time(DateTimeOffset at, TimeProvider time) => TimeZoneInfo.ConvertTime(at, time.LocalTimeZone).ToString("HH:mm", CultureInfo.InvariantCulture);

    /// <summary>A time with seconds where this browser is.</summary>
    public static string TimeWithSeconds(DateTimeOffset at, TimeProvider time) => TimeZoneInfo.ConvertTime(at, time.LocalTimeZone).ToString("HH:mm:ss", CultureInfo.InvariantCulture);

    /// <summary>A day and time where this browser is.</summary>
    public static string DayAndTime(DateTimeOffset at, TimeProvider time) => TimeZoneInfo.ConvertTime(at, time.LocalTimeZone).ToString("ddd d MMM yyyy, HH:mm", CultureInfo.InvariantCulture);

    /// <summary>A day.</summary>
    public static string Day(DateOnly day) => day.ToString("d MMM yyyy", CultureInfo.InvariantCulture);
}
