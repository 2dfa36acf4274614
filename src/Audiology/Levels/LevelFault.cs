namespace TeleHearing.Audiology.Levels;

/// <summary>Why a level may not be played. A value: the reader gets what happened and what to do.</summary>
/// <param name="Code">One of <see cref="LevelFaultCodes"/>.</param>
/// <param name="Sentence">What is wrong, in the reader's words.</param>
/// <param name="Mend">What to do next.</param>
public sealed record LevelFault(string Code, string Sentence, string Mend);
