using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Simulation;

/// <summary>A bone vibrator on the simulated person: it takes the place of the earphone of one ear, which is then open; the other earphone stays on for maskers.</summary>
/// <param name="Route">Where it is placed; never by air.</param>
/// <param name="Channel">Output channel it is plugged into, the one of the ear under test.</param>
public sealed record VibratorWorn(ConductionRoute Route, Ear Channel);
