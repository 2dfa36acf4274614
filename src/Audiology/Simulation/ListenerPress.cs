namespace TeleHearing.Audiology.Simulation;

/// <summary>One press of the response button. Frames count from the first sample the listener was given.</summary>
/// <param name="DownFrame">Frame at which the button goes down; always inside the block whose call returned it.</param>
/// <param name="UpFrame">Frame at which it comes up again; may lie in a later block.</param>
public sealed record ListenerPress(long DownFrame, long UpFrame);
