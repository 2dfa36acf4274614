namespace TeleHearing.Hub.Cli.Demo;

/// <summary>What there is to say once a demonstration runs.</summary>
internal sealed record DemoFacts(
    Uri Console,
    Uri KitScreen,
    string DataFolder,
    int SessionsAdded,
    int? ConsolePortTaken,
    int? ScreenPortTaken,
    Uri ClinicianLink,
    Uri SecondClinicianLink,
    Uri CoordinatorLink,
    Uri OwnerLink,
    Uri AssistantLink,
    FleetSize Fleet);

/// <summary>The page of text a demonstration prints when everything is up.</summary>
internal static class DemoSummary
{
    public static async Task Print(TextWriter output, DemoFacts facts)
    {
        string?[] lines =
        [
            "",
            $"{InventedClinic.Name} is open. It is an invented clinic; nobody in it exists.",
            "",
            $"  console     {facts.Console}{Taken(facts.ConsolePortTaken)}",
            $"  kit screen  {facts.KitScreen}{Taken(facts.ScreenPortTaken)}",
            $"  data        {facts.DataFolder}",
            "",
            "Sign in with a link; each works once:",
            $"  clinician, {InventedClinic.Clinician}:         {facts.ClinicianLink}",
            $"  second clinician, {InventedClinic.SecondClinician}: {facts.SecondClinicianLink}",
            $"  coordinator, {InventedClinic.Coordinator}:    {facts.CoordinatorLink}",
            $"  owner, {InventedClinic.Owner}:           {facts.OwnerLink}",
            $"  assistant, {InventedClinic.Assistant}:       {facts.AssistantLink}",
            "",
            "What to do first:",
            "  1. Open the clinician's link and press \"Sign in\".",
            "  2. Open the kit screen in a second window: there you are the assistant. The person tested is simulated: it presses the pad and names the side by itself.",
            "  3. In the console open today's first session, take control, and follow what the gate asks for.",
            "",
            "Cautions: the sound card, the room and the listener are simulated; nothing is heard and nobody is tested.",
            "This is not a validation of a medical device. With real gear, follow your local codes and licensed practice.",
            "",
            facts.SessionsAdded > 0 ? $"{facts.SessionsAdded} sessions were planned for today." : "Today's sessions were found as they were left.",
            facts.Fleet.Kits > 0 ? $"{facts.Fleet.Kits} kits with {facts.Fleet.Loans} loans were entered besides; the coordinator finds them under Kits and Loans." : "The other kits were found as they were left.",
            "Ctrl-C ends everything; the data stay.",
        ];
        foreach (var line in lines)
        {
            await output.WriteLineAsync(line);
        }

        await output.FlushAsync();
    }

    private static string Taken(int? port) => port is null ? "" : $"  (port {port} is in use, so the next free one was taken)";
}
