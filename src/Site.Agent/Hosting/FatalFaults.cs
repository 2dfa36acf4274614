namespace TeleHearing.Site.Agent.Hosting;

/// <summary>Where a part of the running agent says that it cannot go on. The first word counts; the program then ends.</summary>
internal sealed class FatalFaults(IHostApplicationLifetime lifetime)
{
    private FatalFaultException? _first;

    public FatalFaultException? First => Volatile.Read(ref _first);

    public void Report(FatalFaultException fault)
    {
        Interlocked.CompareExchange(ref _first, fault, null);

        // while the rest still starts, ending would look like a crash of the start
        lifetime.ApplicationStarted.Register(lifetime.StopApplication);
    }
}
