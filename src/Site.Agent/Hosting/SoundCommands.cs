using System.CommandLine;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>The verbs about sound devices: list them, write a sound to a file, verify an output.</summary>
internal static class SoundCommands
{
    public static Command Devices()
    {
        var command = new Command("devices", "List the sound outputs and microphones of this machine, and whether a kit may use them");
        command.SetAction(async (parsed, cancellationToken) =>
        {
            foreach (var line in DeviceTable.Lines(SoundDevices.List()))
            {
                await parsed.InvocationConfiguration.Output.WriteLineAsync(line.AsMemory(), cancellationToken);
            }

            return 0;
        });
        return command;
    }

    public static Command Play()
    {
        var stimulus = new Option<StimulusKind>("--stimulus") { Description = "tone, warble, narrowband, speech, white, pink or silence", Required = true, HelpName = "stimulus", CustomParser = ValueParsers.Choice<StimulusKind>("--stimulus") };
        var frequency = new Option<double?>("--frequency") { Description = "Frequency in Hz, or middle of a narrow band; 1000 when absent", CustomParser = ValueParsers.OptionalNumber("--frequency") };
        var level = new Option<double?>("--level") { Description = "Level in dB of digital full scale: of the peak for tones, 0 or less; of the RMS for noises, -12.1 or less; -20 when absent", CustomParser = ValueParsers.OptionalNumber("--level") };
        var shape = new Option<ToneShape?>("--shape") { Description = "steady or pulsed; steady when absent", HelpName = "shape", CustomParser = ValueParsers.OptionalChoice<ToneShape>("--shape") };
        var duration = new Option<double>("--duration") { Description = "Length in ms, 100 to 60000 for tones, to 600000 for noises and silence", DefaultValueFactory = _ => 1000, CustomParser = ValueParsers.Number("--duration") };
        var ear = new Option<EarChoice>("--ear") { Description = "left, right or both", DefaultValueFactory = _ => EarChoice.Both, HelpName = "ear", CustomParser = ValueParsers.Choice<EarChoice>("--ear") };
        var seed = new Option<long?>("--seed") { Description = "Seed of a noise; 1 when absent", CustomParser = ValueParsers.OptionalWhole<long>("--seed") };
        var masker = new Option<double?>("--masker") { Description = "Level of a narrow band of noise in the other ear, dB of digital full scale, RMS, -12.1 or less", CustomParser = ValueParsers.OptionalNumber("--masker") };
        var file = new Option<string>("--out") { Description = "WAVE file to write: 32 bit floats, 48 kHz, left and right", Required = true };
        var command = new Command("play", "Write any sound of the kit to a file, sample for sample as it would be played") { stimulus, frequency, level, shape, duration, ear, seed, masker, file };
        command.SetAction((parsed, _) => AgentCommands.GuardAsync(parsed, () =>
        {
            new PlayOptions(
                parsed.GetValue(stimulus),
                parsed.GetValue(frequency),
                parsed.GetValue(level),
                parsed.GetValue(shape),
                parsed.GetValue(duration),
                parsed.GetValue(ear),
                parsed.GetValue(seed),
                parsed.GetValue(masker),
                parsed.GetRequiredValue(file)).Write();
            return parsed.InvocationConfiguration.Output.WriteLineAsync($"written: {parsed.GetRequiredValue(file)}");
        }));
        return command;
    }

    public static Command Verify()
    {
        var folder = new Option<string>("--out") { Description = "Folder for report.html and report.json", Required = true };
        var device = new Option<string?>("--device") { Description = "Sound output, as the verb devices lists it; absent: the kit's, or the machine's default" };
        var input = new Option<string?>("--input") { Description = "Input with a cable from the output; absent: what the output plays is recorded inside the machine" };
        var data = new Option<string?>("--data") { Description = "Folder of a kit, whose calibration then gives the levels in dB HL" };
        var nobody = new Option<bool>("--nobody-wears") { Description = "You have seen that nobody wears the transducer; without this nothing is played" };
        var quick = new Option<bool>("--quick") { Description = "A few frequencies and levels only" };
        var command = new Command("verify", "Play every sound at every level and frequency, record it and judge it against the published limits. Nobody may wear the transducer.") { folder, device, input, data, quick, nobody };
        command.Validators.Add(result =>
        {
            if (!result.GetValue(nobody))
            {
                result.AddError("verify plays at the highest levels: take the transducer off everybody, then add --nobody-wears.");
            }
        });
        command.SetAction(async (parsed, cancellationToken) =>
        {
            var exit = 0;
            var guarded = await AgentCommands.GuardAsync(parsed, async () => exit = await new VerifyCommand(
                parsed.GetRequiredValue(folder),
                parsed.GetValue(device),
                parsed.GetValue(input),
                parsed.GetValue(data),
                parsed.GetValue(quick)).RunAsync(parsed.InvocationConfiguration.Output, TimeProvider.System, cancellationToken));
            return guarded == 0 ? exit : guarded;
        });
        return command;
    }
}
