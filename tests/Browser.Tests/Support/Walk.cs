namespace TeleHearing.Browser.Tests.Support;

/// <summary>Takes a session along its main line, as clinician and assistant would, pausing at every stage for whoever wants to look.</summary>
public static class Walk
{
    /// <summary>From the day's list to the stage Testing.</summary>
    /// <param name="console">Console at the day's list.</param>
    /// <param name="kit">Kit screen.</param>
    /// <param name="person">Person tested.</param>
    /// <param name="look">Called at every stage once its work is done, with the stage's name.</param>
    public static async Task ToTesting(ConsoleWindow console, KitWindow kit, string person, Func<string, Task>? look = null)
    {
        look ??= _ => Task.CompletedTask;
        await console.Open(person);
        await look("Scheduled");
        await console.TakeControl();
        await kit.Shows("Set up the kit");
        await look("Connecting");
        await console.GoOn("Who and where");
        await console.RecordIdentity();
        await kit.Shows("Meet your clinician");
        await look("Who and where");
        await console.GoOn("Consent");
        await console.RecordConsent();
        await kit.Shows("Decide together");
        await look("Consent");
        await console.GoOn("Kit check");
        await kit.Shows("Get the kit ready");
        await console.CheckKit();
        await kit.MarkDone();
        await console.NeedIsMet("The assistant has set the kit up");
        await look("Kit check");
        await console.GoOn("Room noise");
        await console.MeasureRoom();
        await kit.Shows("Make the room quiet");
        await look("Room noise");
        await console.GoOn("Ear look");
        await console.RecordEar("Right ear");
        await console.RecordEar("Left ear");
        await kit.Shows("Show the ears to your clinician");
        await look("Ear look");
        await console.GoOn("Side proof");
        await console.ProveSides();
        await kit.Shows("Put the earphones on");
        await look("Side proof");
        await console.GoOn("Testing");
        await kit.Shows("Listen for soft sounds");
        await look("Testing");
    }

    /// <summary>From Testing, with a threshold measured, to the end.</summary>
    public static async Task ToClosed(ConsoleWindow console, KitWindow kit, Func<string, Task> look)
    {
        await console.GoOn("Review");
        await console.RecordReview();
        await kit.Shows("Take a rest");
        await look("Review");
        await console.GoOn("Handoff");
        await console.RecordHandoff();
        await kit.Shows("Pack up the kit");
        await kit.MarkDone();
        await console.NeedIsMet("The assistant has packed up");
        await look("Handoff");
        await console.GoOn("Closed");
        await look("Closed");
    }
}
