using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People.LookAlikes;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Start;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli.SettingUp;

/// <summary>The verb <c>sessions plan</c>.</summary>
internal static class SessionsCommand
{
    /// <summary>How long ago a session may have been planned to start: it may be entered when it is about to begin.</summary>
    private static readonly TimeSpan _lateAtMost = TimeSpan.FromDays(1);

    /// <summary>Sessions of one kit that start closer together than this are told of: a session with both ears and speech takes about so long (common practice).</summary>
    private static readonly TimeSpan _close = TimeSpan.FromHours(1);

    public static Command Make(TimeProvider clock) => new("sessions", "the sessions of a hub") { Plan(clock) };

    private static Command Plan(TimeProvider clock)
    {
        var reference = OpenedHub.Text("--reference", "the clinic's reference of the person tested, e.g. P-0107");
        var name = OpenedHub.Text("--name", "full name of the person tested");
        var born = new Option<DateOnly>("--born") { Description = "date of birth, e.g. 1951-03-14", Required = true, CustomParser = Born };
        var referral = OpenedHub.Text("--referral", "why they were referred, in a line");
        var place = OpenedHub.Text("--place", "where the person will be");
        var start = new Option<DateTimeOffset>("--start") { Description = "planned start on this machine's clock, e.g. 2026-05-04T10:30", Required = true, CustomParser = Start };
        var kit = OpenedHub.Text("--kit", "number of the kit");
        var clinician = OpenedHub.Text("--clinician", "name of the clinician it is planned for");
        var language = new Option<string>("--language") { Description = "language the person reads best, e.g. en or es", DefaultValueFactory = _ => string.Empty };
        var same = new Option<bool>("--same-person") { Description = "the reference is known with another name or birth date, and it is the same person" };
        var data = OpenedHub.Data();
        var command = new Command("plan", "plan a session") { reference, name, born, referral, place, start, kit, clinician, language, same, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            var kitId = new KitId(parsed.GetRequiredValue(kit));
            if (!await services.GetRequiredService<KitFleet>().IsEntered(kitId, cancellationToken))
            {
                throw new CliFault($"There is no kit {kitId} in this hub. Nothing was planned. Enter it with kits add.");
            }

            var reads = parsed.GetRequiredValue(language);
            if (reads.Length > 0 && !ConsentValidator.IsLanguage(reads))
            {
                throw new CliFault($"\"{reads}\" is no language tag such as en or es. Nothing was planned.");
            }

            var today = clock.GetLocalNow();
            if (parsed.GetValue(born) > DateOnly.FromDateTime(today.Date))
            {
                throw new CliFault("The date of birth lies in the future. Nothing was planned.");
            }

            if (parsed.GetValue(start) < today - _lateAtMost)
            {
                throw new CliFault("The planned start is more than a day ago. Nothing was planned. Give a start that is still to come.");
            }

            var who = parsed.GetRequiredValue(clinician);
            var named = await OpenedHub.PeopleNamed(services, who, Roles.Clinician, cancellationToken);
            if (named is not [var clinicianId])
            {
                throw new CliFault(named.Count == 0
                    ? $"There is no clinician named {who} in this hub. Nothing was planned. Enter them with people add."
                    : $"There are {named.Count} clinicians named {who} in this hub. Nothing was planned. Plan it for one whose name nobody else has.");
            }

            var person = new PersonTested(parsed.GetRequiredValue(reference), parsed.GetRequiredValue(name), parsed.GetValue(born), parsed.GetRequiredValue(referral)) { Language = reads };
            if (!parsed.GetValue(same) && (await services.GetRequiredService<CardReader>().People(cancellationToken)).FirstOrDefault(known => IsAnother(known, person)) is { } known)
            {
                // What is exported and erased goes by the reference: one person's record must not go out with another's.
                throw new CliFault(string.Create(CultureInfo.InvariantCulture, $"{known.Reference} is {known.Name}, born {known.BirthDate:yyyy-MM-dd}, in this hub. Nothing was planned. Look whose reference it is; if it is the same person, and the name or the birth date has to be written differently from now on, add --same-person."));
            }

            var plan = new SessionPlan(person, parsed.GetRequiredValue(place), parsed.GetValue(start), kitId, clinicianId);
            var session = await services.GetRequiredService<SessionSchedule>().Plan(plan, cancellationToken);
            await parsed.InvocationConfiguration.Output.WriteLineAsync($"session {session} is planned. A running hub shows it within a second or two.");
            foreach (var other in (await services.GetRequiredService<FleetFacts>().PlannedSessions(cancellationToken)).Where(other => IsClose(other, session, plan)))
            {
                await parsed.InvocationConfiguration.Output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"Look again: kit {kitId} is also planned for session {other.SessionId}, {TimeZoneInfo.ConvertTime(other.PlannedStart, clock.LocalTimeZone):yyyy-MM-dd HH:mm}, at {other.Place}."));
            }
        })));
        return command;
    }

    /// <summary>Whether another session wants the same kit at about the same time.</summary>
    private static bool IsClose(PlannedSession other, SessionId session, SessionPlan plan) =>
        other.KitId == plan.KitId && other.SessionId != session && (other.PlannedStart - plan.PlannedStart).Duration() < _close;

    /// <summary>Whether somebody else is known by the reference a session is planned for.</summary>
    private static bool IsAnother(KnownPerson known, PersonTested person) =>
        string.Equals(known.Reference, person.Reference, StringComparison.OrdinalIgnoreCase) && (known.Name, known.BirthDate) != (person.Name, person.BirthDate);

    private static DateOnly Born(ArgumentResult result)
    {
        if (DateOnly.TryParseExact(result.Tokens[0].Value, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date))
        {
            return date;
        }

        result.AddError("--born must be a date written like 1951-03-14.");
        return default;
    }

    private static DateTimeOffset Start(ArgumentResult result)
    {
        if (DateTimeOffset.TryParseExact(result.Tokens[0].Value, ["yyyy-MM-ddTHH:mm", "yyyy-MM-ddTHH:mmzzz", "yyyy-MM-dd HH:mm"], CultureInfo.InvariantCulture, DateTimeStyles.AssumeLocal, out var start))
        {
            return start;
        }

        result.AddError("--start must be a time written like 2026-05-04T10:30.");
        return default;
    }
}
