using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Hub.Cli.Rehearsal;

/// <summary>The verb <c>rehearse</c>.</summary>
internal static class RehearseCommand
{
    public static Command Make(TimeProvider clock)
    {
        var listener = new Option<FileInfo>("--listener") { Description = "CSV audiogram of the virtual listener: ear,frequency_hz,air_db_hl,bone_db_hl", Required = true };
        var seed = new Option<int>("--seed") { Description = "seed of everything random, a whole number", Required = true, CustomParser = WholeNumber.From($"--seed must be a whole number from {int.MinValue} to {int.MaxValue}", int.MinValue, int.MaxValue) };
        var folder = new Option<DirectoryInfo>("--out") { Description = "folder for record.json, events.jsonl and audiogram.svg", Required = true };
        var room = new Option<string>("--room") { Description = "quiet, or a WAV file of the room (48 kHz, one channel; RMS 1.0 is 120 dB SPL)", DefaultValueFactory = _ => "quiet" };
        var rule = Choice.Option("--rule", "stopping rule", "two-of-three", "three-of-five");
        var pace = Choice.Option("--pace", "how quickly simulated sound passes", "fast", "realtime");
        var spread = new Option<double?>("--listener-sd") { Description = "spread of the listener's answers around the threshold, dB, 0 to 10", CustomParser = Spread };
        var keep = new Option<bool>("--keep-data") { Description = "keep the data folders of hub and kit in the out folder" };
        var record = new Option<bool>("--record-sound") { Description = "write all sound played to sound.wav in the out folder" };

        var command = new Command("rehearse", "run a whole session without people: hub, site agent with a virtual listener, scripted clinician")
        {
            listener, seed, folder, room, rule, pace, spread, keep, record,
        };
        command.SetAction((parsed, cancellationToken) =>
        {
            var options = new RehearsalOptions
            {
                Listener = parsed.GetRequiredValue(listener),
                Seed = parsed.GetRequiredValue(seed),
                Out = parsed.GetRequiredValue(folder),
                Room = parsed.GetRequiredValue(room),
                Rule = parsed.GetRequiredValue(rule) == "three-of-five" ? StoppingRule.ThreeOfFive : StoppingRule.TwoOfThree,
                Pace = parsed.GetRequiredValue(pace),
                ListenerSpreadDb = parsed.GetValue(spread),
                KeepData = parsed.GetValue(keep),
                RecordSound = parsed.GetValue(record),
            };
            return CommandLine.Guard(parsed, () => new Rehearsal(options, parsed.InvocationConfiguration.Output, clock).Run(cancellationToken));
        });
        return command;
    }

    private static double? Spread(ArgumentResult result)
    {
        if (double.TryParse(result.Tokens[0].Value, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && value is >= 0 and <= 10)
        {
            return value;
        }

        result.AddError($"--listener-sd must be a number from 0 to 10 dB, not \"{result.Tokens[0].Value}\".");
        return null;
    }
}
