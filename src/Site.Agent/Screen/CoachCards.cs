using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Screen;

/// <summary>Which picture goes with a card.</summary>
public enum CardPicture
{
    None,
    Kit,
    Talk,
    Check,
    Quiet,
    Ear,
    Earphones,

    /// <summary>Vibrator behind the right ear, which is free; earphone on the left one.</summary>
    VibratorRight,

    /// <summary>Vibrator behind the left ear, which is free; earphone on the right one.</summary>
    VibratorLeft,

    /// <summary>Vibrator on the forehead; earphone on the left ear alone.</summary>
    ForeheadEarphoneLeft,

    /// <summary>Vibrator on the forehead; earphone on the right ear alone.</summary>
    ForeheadEarphoneRight,
    Listen,
    Rest,
    Pack,
    Wait,
    Stop,
}

/// <summary>What the helper at the site reads in one stage.</summary>
/// <param name="Goal">The goal in one line.</param>
/// <param name="Steps">What to do, one action each.</param>
/// <param name="Say">What to say to the person; absent when nothing is to be said.</param>
/// <param name="Caution">What must not happen; absent when there is no danger.</param>
/// <param name="Picture">Picture beside it.</param>
/// <param name="CanBeDone">Whether the card has a Done button.</param>
public sealed record CoachCard(string Goal, IReadOnlyList<string> Steps, string? Say, string? Caution, CardPicture Picture, bool CanBeDone);

/// <summary>Every word a helper reads, in one place: sentences of at most 15 words, one action each, no blame (reading grade 5 to 6).</summary>
public static class CoachCards
{
    /// <summary>Before anything is known of a session.</summary>
    public static CoachCard Ready { get; } = new(
        "This kit is ready",
        ["Leave the kit switched on.", "Your clinician will join you soon."],
        null,
        null,
        CardPicture.Kit,
        CanBeDone: false);

    /// <summary>While the first link is made.</summary>
    public static CoachCard Starting { get; } = new(
        "The kit is starting",
        ["Leave the kit switched on.", "Check that it has power.", "It looks for your clinic by itself."],
        null,
        null,
        CardPicture.Wait,
        CanBeDone: false);

    /// <summary>While the link is away during listening.</summary>
    public static CoachCard Reconnecting { get; } = new(
        "Please wait",
        ["The line to your clinician is down. The sound is off.", "You do not need to do anything.", "The kit keeps trying by itself."],
        "We wait a moment. You did everything right.",
        null,
        CardPicture.Wait,
        CanBeDone: false);

    /// <summary>When the clinic does not serve this kit.</summary>
    public static CoachCard NotServed { get; } = new(
        "This kit cannot be used now",
        ["Please call your clinic.", "Tell them the words at the top of this screen."],
        null,
        null,
        CardPicture.Wait,
        CanBeDone: false);

    private static readonly Dictionary<SessionStage, CoachCard> _cards = new()
    {
        [SessionStage.Scheduled] = Ready,
        [SessionStage.Connecting] = new(
            "Set up the kit",
            ["Put the kit on a steady table.", "Plug in the power cable.", "Place a chair so the person sits well."],
            "We will do a hearing test together. It does not hurt.",
            null,
            CardPicture.Kit,
            CanBeDone: true),
        [SessionStage.Identity] = new(
            "Meet your clinician",
            ["Stay near the kit.", "Tell the clinician who is in the room.", "Tell the clinician the address where you are."],
            "The clinician will ask you a few questions first.",
            null,
            CardPicture.Talk,
            CanBeDone: true),
        [SessionStage.Consent] = new(
            "Decide together",
            ["Listen to how the test works.", "Ask anything you want to know.", "The person says yes or no. Both are fine."],
            "You can say no. You can stop at any time.",
            null,
            CardPicture.Talk,
            CanBeDone: true),
        [SessionStage.KitCheck] = new(
            "Get the kit ready",
            ["Wipe the earphones with a fresh wipe.", "Put the small microphone next to the chair.", "Leave all cables plugged in."],
            "The kit checks itself now. You will not hear anything.",
            null,
            CardPicture.Check,
            CanBeDone: true),
        [SessionStage.RoomNoise] = new(
            "Make the room quiet",
            ["Turn off the TV, radio and fans.", "Close doors and windows.", "Put phones on silent.", "Then sit still. The kit listens to the room."],
            "Let us be very quiet for a short while.",
            null,
            CardPicture.Quiet,
            CanBeDone: true),
        [SessionStage.EarLook] = new(
            "Show the ears to your clinician",
            ["Ask the person about pain, blood or fluid.", "Move the hair away from the ears.", "Show one ear at a time, from outside only."],
            "Does an ear hurt? Did anything come out of it?",
            "Never put anything into an ear. If there is pain, blood or fluid: press Stop. Then call for help.",
            CardPicture.Ear,
            CanBeDone: true),
        [SessionStage.SideProof] = new(
            "Put the earphones on",
            ["Take off glasses, hearing aids and earrings.", "Red R goes on the right ear.", "Blue L goes on the left ear.", "Check that no hair is under the cushions."],
            "You will hear some sounds. Tell us which ear hears them.",
            "If the earphones hurt, take them off. Then call for help.",
            CardPicture.Earphones,
            CanBeDone: true),
        [SessionStage.Testing] = new(
            "Listen for soft sounds",
            ["The person presses. You only watch.", "Keep still. Do not give hints."],
            "Press when you hear a sound. It is fine to guess.",
            "If a sound is too loud or an ear hurts, press Stop.",
            CardPicture.Listen,
            CanBeDone: false),
        [SessionStage.Review] = new(
            "Take a rest",
            ["Take the earphones off gently.", "Put glasses and hearing aids back on.", "Wait while your clinician looks at the results."],
            "Well done. The clinician will talk with you soon.",
            null,
            CardPicture.Rest,
            CanBeDone: true),
        [SessionStage.Handoff] = new(
            "Pack up the kit",
            ["Throw away all parts meant for one use.", "Wipe the earphones with a fresh wipe.", "Put everything back in its place.", "Close the case and put the label on."],
            "Thank you. The clinician tells you what comes next.",
            "Never use a one-use part again.",
            CardPicture.Pack,
            CanBeDone: true),
        [SessionStage.Closed] = new(
            "All done. Thank you.",
            ["You can switch the kit off now."],
            null,
            null,
            CardPicture.Rest,
            CanBeDone: false),
        [SessionStage.Paused] = new(
            "A short break",
            ["Your clinician has paused the test.", "The sound is off.", "Please wait here."],
            "We have a short break. You can relax.",
            null,
            CardPicture.Rest,
            CanBeDone: false),
        [SessionStage.LinkLost] = Reconnecting,
        [SessionStage.Stopped] = new(
            "Stopped. The sound is off.",
            ["Ask the person how they feel.", "You may take the earphones off.", "Tell your clinician what happened."],
            "We have stopped. Nothing will play now.",
            "If the person is unwell, call your local emergency number.",
            CardPicture.Stop,
            CanBeDone: false),
        [SessionStage.Aborted] = new(
            "We end here for today",
            ["Take the earphones off gently.", "Your clinician tells you what comes next."],
            "We end here for today. Thank you for your help.",
            null,
            CardPicture.Rest,
            CanBeDone: false),
        [SessionStage.Converted] = new(
            "We go on in another way",
            ["Take the earphones off gently.", "Your clinician tells you what comes next."],
            "We will do this in another way. Thank you.",
            null,
            CardPicture.Rest,
            CanBeDone: false),
    };

    private static readonly CoachCard _earphonesAgain = new(
        "Put the earphones on both ears",
        ["Take the vibrator off gently.", "Plug the earphone back in where the vibrator was.", "Red R goes on the right ear. Blue L goes on the left ear.", "Then press Done."],
        "We go on with the earphones now.",
        "If the earphones hurt, take them off. Then call for help.",
        CardPicture.Earphones,
        CanBeDone: true);

    /// <summary>The card of a change of gear. It names the side on which the gear is put, which tells nothing about any sound.</summary>
    public static CoachCard ForGear(ConductionRoute route, Ear? ear) => ear is { } tested && route != ConductionRoute.Air
        ? Vibrator(route, tested == Ear.Right
            ? ("right", "red R", "left", route == ConductionRoute.BoneForehead ? CardPicture.ForeheadEarphoneLeft : CardPicture.VibratorRight)
            : ("left", "blue L", "right", route == ConductionRoute.BoneForehead ? CardPicture.ForeheadEarphoneRight : CardPicture.VibratorLeft))
        : _earphonesAgain;

    private static CoachCard Vibrator(ConductionRoute route, (string Side, string Plug, string Other, CardPicture Picture) words) => new(
        "Put the vibrator on",
        [
            $"Take the earphones off. Plug the vibrator in for the {words.Plug} one.",
            route == ConductionRoute.BoneForehead ? "Put it on the middle of the forehead. Move the hair away." : $"Put it on the bone behind the {words.Side} ear. Move the hair away.",
            $"Keep it off the ear. Leave the {words.Side} ear free.",
            $"Put the other earphone on the {words.Other} ear. Then press Done.",
        ],
        "You may feel a light press on the head. Tell us if it hurts.",
        "If it hurts, take it off. Put nothing in an ear unless your clinician says so.",
        words.Picture,
        CanBeDone: true);

    /// <summary>The card of a stage.</summary>
    public static CoachCard For(SessionStage stage) => _cards[stage];
}
