using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Practice;

/// <summary>The practice in words.</summary>
internal static class PracticeWords
{
    /// <summary>How long something still counts, with a mark beside the words.</summary>
    public static string Of(Lasting lasting) => lasting switch
    {
        Lasting.Holds => "✓ counts",
        Lasting.EndsSoon => "▲ ends soon",
        Lasting.Over => "✕ expired",
        _ => "✕ withdrawn",
    };

    /// <summary>What ends within thirty days or is over and was not followed by a longer one, a line each.</summary>
    public static IReadOnlyList<string> Ending(PracticeView view) =>
    [
        .. from assistant in view.Assistants
           from newest in assistant.SignOffs.Where(signOff => signOff.Lasting != Lasting.Withdrawn).GroupBy(signOff => signOff.Task).Select(ones => ones.MaxBy(signOff => signOff.Until)!)
           where newest.Lasting is Lasting.EndsSoon or Lasting.Over
           orderby newest.Until
           select $"{assistant.Person.Name}: the sign-off to {AssistantTasks.Words(newest.Task)} {Ends(newest.Lasting)} on {Day(newest.Until)}.",
        .. from clinician in view.Clinicians
           from newest in clinician.Registrations.Where(registration => registration.Lasting != Lasting.Withdrawn).GroupBy(registration => registration.Jurisdiction).Select(ones => ones.MaxBy(registration => registration.ValidUntil)!)
           where newest.Lasting is Lasting.EndsSoon or Lasting.Over
           orderby newest.ValidUntil
           select $"{clinician.Person.Name}: the registration for {newest.Jurisdiction} {Ends(newest.Lasting)} on {Day(newest.ValidUntil)}.",
    ];

    /// <summary>A day.</summary>
    public static string Day(DateOnly day) => day.ToString("d MMMM yyyy", System.Globalization.CultureInfo.InvariantCulture);

    private static string Ends(Lasting lasting) => lasting == Lasting.Over ? "ended" : "ends";
}
