using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Checks the content of kit commands and of what a kit says of its gear. Says everything that is wrong at once.</summary>
internal static class KitCommandValidator
{
    /// <summary>Longest loan, days (design): longer ones are another kit's home.</summary>
    public const int LongestLoanDays = 366;

    /// <summary>Most points of one calibration record: two ears and every frequency many times over.</summary>
    private const int MostPoints = 200;

    public static IReadOnlyList<string> Faults(KitCommandEnvelope? envelope)
    {
        if (envelope is null)
        {
            return ["The command is missing."];
        }

        var faults = new Faults();
        faults.Need(envelope.CommandId.Value != Guid.Empty, "The command has no id.");
        faults.Need(!string.IsNullOrWhiteSpace(envelope.KitId.Value), "The command names no kit.");
        switch (envelope.Command)
        {
            case null:
                faults.Need(false, "The command is empty.");
                break;
            case RecordBaseline baseline:
                Person(baseline.PersonCode, faults);
                All(Source(baseline.From, baseline.Levels) ?? KnownEarRules.BaselineFaults(baseline.Levels), faults);
                break;
            case RecordKnownEar check:
                Person(check.PersonCode, faults);
                All(Source(check.From, check.Levels) ?? KnownEarRules.Faults(check.Levels), faults);
                break;
            case RecordFunctionCheck check:
                Function(check, faults);
                break;
            case RecordMove move:
                faults.Line(move.Place, "the place");
                if (move is not { PressureKPa: null, AltitudeM: null } && AtmosphericPressure.Fault(move.PressureKPa, move.AltitudeM) is { } air)
                {
                    faults.Need(false, air);
                }

                break;
            case ReviewSession review:
                faults.Text(review.Note, "the note");
                faults.Need(review.SessionId.Value != Guid.Empty, "The command names no session.");
                break;
            default:
                JourneyCommandValidator.Check(envelope.Command, faults);
                break;
        }

        return faults.All;
    }

    /// <summary>What is wrong with a kit's word about its gear; whether the calibration may be used is judged elsewhere.</summary>
    public static IReadOnlyList<string> Faults(KitGear gear)
    {
        var faults = new Faults();
        faults.Line(gear.UnitSerial, "the unit's serial number");
        faults.Line(gear.TransducerSerial, "the transducer's serial number");
        faults.Known(gear.TransducerKind, "kind of transducer");
        faults.Known(gear.Use, "use");
        if (gear.Calibration is { } record)
        {
            faults.Line(record.CertificateId, "the certificate's number");
            faults.Line(record.Laboratory, "the laboratory");
            faults.Line(record.UnitSerial, "the certificate's unit");
            faults.Line(record.TransducerSerial, "the certificate's transducer");
            faults.Known(record.TransducerKind, "certificate's kind of transducer");
            faults.Known(record.Coupler, "coupler");
            faults.Need(
                record.Entries is { Count: <= MostPoints } && record.Entries.All(entry => entry is not null && double.IsFinite(entry.SplAtFullScaleDb) && double.IsFinite(entry.MaximumDbHl) && (entry.UncertaintyDb is null || double.IsFinite(entry.UncertaintyDb.Value))),
                "The points of the calibration are missing, too many, or not all numbers.");
            faults.Need(record.TemperatureC is null || double.IsFinite(record.TemperatureC.Value), "The temperature is not a number.");
            faults.Need(record.PressureKPa is null or > 0 and < 1000, "The air pressure is not a number.");
        }

        return faults.All;
    }

    private static void Function(RecordFunctionCheck check, Faults faults)
    {
        var answers = check.Answers ?? [];
        faults.Need(answers.All(answer => answer is not null), "An answer is empty.");
        var codes = answers.Where(answer => answer is not null).Select(answer => answer.Code).ToList();
        foreach (var line in FunctionLines.All.Where(line => codes.Count(code => code == line.Code) != 1))
        {
            faults.Need(false, $"\"{line.Title}\" needs one answer.");
        }

        faults.Need(codes.All(code => FunctionLines.All.Any(line => line.Code == code)), "An answer is to no line of the check.");
        faults.Need(answers.All(answer => answer is null or { Passed: true }) || !string.IsNullOrWhiteSpace(check.Note), "Say what was heard when a line did not pass.");
        faults.OptionalText(check.Note, "the note");
    }

    private static void Person(string? code, Faults faults)
    {
        if (KnownEarRules.PersonCodeFault(code) is { } fault)
        {
            faults.Need(false, fault);
        }
    }

    /// <summary>What is wrong with levels that are to come from a session; absent when they were entered.</summary>
    private static IReadOnlyList<string>? Source(SessionId? from, IReadOnlyList<KnownEarLevel>? levels) => from switch
    {
        null => null,
        { Value: var id } when id == Guid.Empty => ["The command names no session."],
        _ => levels is { Count: 0 } ? [] : ["Levels come either from a session or as entered, not both."],
    };

    private static void All(IReadOnlyList<string> sentences, Faults faults)
    {
        foreach (var sentence in sentences)
        {
            faults.Need(false, sentence);
        }
    }
}
