namespace TeleHearing.Site.Agent.Hosting;

/// <summary>The agent cannot go on. Its message is the one line a person reads.</summary>
internal sealed class FatalFaultException(string message, Exception? inner = null) : Exception(message, inner);
