using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Hub.Cli.Clinician;

/// <summary>What a scripted clinician tests.</summary>
/// <param name="Ears">Ears in the order to test.</param>
/// <param name="Rule">Stopping rule.</param>
/// <param name="Shape">Steady or pulsed tones.</param>
internal sealed record TestPlan(IReadOnlyList<EarPlan> Ears, StoppingRule Rule, ToneShape Shape);

/// <summary>What is tested in one ear.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequenciesHz">Frequencies in Hz, each once; the order of testing and the retest at 1000 Hz follow ISO 8253-1.</param>
internal sealed record EarPlan(Ear Ear, IReadOnlyList<int> FrequenciesHz);
