using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>A link to the sound server of this machine, with the library's own thread behind it.</summary>
/// <remarks>
/// Methods may be called from any thread but the library's own. No question waits longer than <see cref="AnswerLimit"/>: a server that hangs is a fault, not
/// a wait. <see cref="Changed"/> is raised on the library's thread and must only wake another one.
/// </remarks>
internal sealed unsafe class PulseConnection : IDisposable
{
    /// <summary>How long the server may take over an answer; a healthy one takes a millisecond.</summary>
    public static readonly TimeSpan AnswerLimit = TimeSpan.FromSeconds(2);
    private const string ProgramName = "TeleHearing site agent";

    /// <summary>What to do when the server is away.</summary>
    private const string ServerMend = "See that the sound server of this machine runs, then start again.";
    private readonly ManualResetEventSlim _settled = new();
    private readonly ManualResetEventSlim _lost = new();
    private readonly nint _mainloop;
    private readonly nint _context;
    private GCHandle _self;
    private bool _disposed;

    private PulseConnection(string? server)
    {
        _self = GCHandle.Alloc(this);
        _mainloop = PulseApi.MainloopNew();
        _context = PulseApi.ContextNew(PulseApi.MainloopGetApi(_mainloop), ProgramName);
        PulseApi.ContextSetStateCallback(_context, &OnContextState, GCHandle.ToIntPtr(_self));
        PulseApi.ContextSetSubscribeCallback(_context, &OnSubscription, GCHandle.ToIntPtr(_self));
        if (PulseApi.ContextConnect(_context, server, PulseApi.ContextNoAutospawn, 0) < 0)
        {
            _lost.Set();
            _settled.Set();
        }

        _ = PulseApi.MainloopStart(_mainloop);
    }

    /// <summary>Something about a device, its volume or its users changed.</summary>
    public event Action? Changed;

    /// <summary>The library's handle of the link.</summary>
    public nint Context => _context;

    /// <summary>Whether the server is gone.</summary>
    public bool IsLost => _lost.IsSet;

    /// <summary>Links to a server.</summary>
    /// <param name="server">Address such as <c>unix:/run/...</c>; absent for the one of this user.</param>
    /// <exception cref="DeviceFaultException">There is no sound server, or it does not answer.</exception>
    public static PulseConnection Open(string? server)
    {
        PulseConnection connection;
        try
        {
            connection = new PulseConnection(server);
        }
        catch (DllNotFoundException fault)
        {
            throw Fault("The sound library libpulse.so.0 is missing on this machine.", "Install the package libpulse0, then start again.", fault);
        }

        if (connection._settled.Wait(AnswerLimit) && !connection.IsLost)
        {
            using (connection.Lock())
            {
                PulseApi.OperationUnref(PulseApi.ContextSubscribe(connection._context, PulseApi.SubscribeMask, 0, 0));
            }

            return connection;
        }

        var fault2 = Fault($"The sound server of this machine does not answer ({connection.ErrorText()}).", ServerMend);
        connection.Dispose();
        throw fault2;
    }

    /// <summary>Holds the library's lock until disposed.</summary>
    public LockHold Lock() => new(_mainloop);

    /// <summary>The last error of the library in its own words.</summary>
    public string ErrorText()
    {
        using (Lock())
        {
            return Text(PulseApi.ErrorText(PulseApi.ContextError(_context))) ?? "no reason given";
        }
    }

    /// <summary>All outputs.</summary>
    /// <exception cref="DeviceFaultException">The server does not answer.</exception>
    public IReadOnlyList<PulseDevice> Sinks() => Ask<PulseDevice>(user => PulseApi.GetSinks(_context, &OnSink, user));

    /// <summary>All inputs, the monitors of outputs among them.</summary>
    /// <exception cref="DeviceFaultException">The server does not answer.</exception>
    public IReadOnlyList<PulseDevice> Sources() => Ask<PulseDevice>(user => PulseApi.GetSources(_context, &OnSource, user));

    /// <summary>Everything that plays or records just now, on any device.</summary>
    /// <exception cref="DeviceFaultException">The server does not answer.</exception>
    public IReadOnlyList<PulseUser> Users(SoundDirection direction) => direction == SoundDirection.Output
        ? Ask<PulseUser>(user => PulseApi.GetSinkInputs(_context, &OnSinkInput, user))
        : Ask<PulseUser>(user => PulseApi.GetSourceOutputs(_context, &OnSourceOutput, user));

    /// <summary>Names of the default output and the default input.</summary>
    /// <exception cref="DeviceFaultException">The server does not answer.</exception>
    public (string? Output, string? Input) Defaults() => Ask<(string?, string?)>(user => PulseApi.GetServer(_context, &OnServer, user)).Single();

    public void Dispose()
    {
        if (_disposed)
        {
            return;
        }

        _disposed = true;
        using (Lock())
        {
            PulseApi.ContextSetStateCallback(_context, null, 0);
            PulseApi.ContextSetSubscribeCallback(_context, null, 0);
            PulseApi.ContextDisconnect(_context);
        }

        PulseApi.MainloopStop(_mainloop);
        PulseApi.ContextUnref(_context);
        PulseApi.MainloopFree(_mainloop);
        _self.Free();
    }

    /// <summary>A text of the library.</summary>
    internal static string? Text(byte* text) => text is null ? null : Marshal.PtrToStringUTF8((nint)text);

    private static DeviceFaultException Fault(string sentence, string mend, Exception? inner = null) => new(new DeviceFault(DeviceFaultKind.Lasting, sentence, mend), inner);

    private IReadOnlyList<T> Ask<T>(Func<nint, nint> begin)
    {
        var answer = new Answer<T>();
        var handle = GCHandle.Alloc(answer);
        nint operation;
        using (Lock())
        {
            operation = begin(GCHandle.ToIntPtr(handle));
        }

        if (operation != 0)
        {
            WaitHandle.WaitAny([answer.Done.WaitHandle, _lost.WaitHandle], AnswerLimit);
            using (Lock())
            {
                // once cancelled, the callback no longer comes and the handle can go
                PulseApi.OperationCancel(operation);
                PulseApi.OperationUnref(operation);
            }
        }

        handle.Free();
        return answer.Done.IsSet ? answer.Items
            : throw Fault(IsLost ? "The sound server of this machine has ended." : "The sound server of this machine does not answer any more.", ServerMend);
    }

    private static PulseConnection From(nint user) => (PulseConnection)GCHandle.FromIntPtr(user).Target!;

    private static void Take<T>(nint user, int last, Func<T> read)
    {
        var answer = (Answer<T>)GCHandle.FromIntPtr(user).Target!;
        if (last == 0)
        {
            answer.Items.Add(read());
        }
        else
        {
            answer.Done.Set();
        }
    }

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnContextState(nint context, nint user)
    {
        var connection = From(user);
        switch (PulseApi.ContextState(context))
        {
            case PulseApi.ContextReady:
                connection._settled.Set();
                break;
            case PulseApi.ContextFailed or PulseApi.ContextTerminated:
                connection._lost.Set();
                connection._settled.Set();
                connection.Changed?.Invoke();
                break;
            default:
                break;
        }
    }

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnSubscription(nint context, int what, uint index, nint user) => From(user).Changed?.Invoke();

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnSink(nint context, DeviceInfo* info, int last, nint user) => Take(user, last, () => PulseDevice.Read(info, SoundDirection.Output));

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnSource(nint context, DeviceInfo* info, int last, nint user) => Take(user, last, () => PulseDevice.Read(info, SoundDirection.Input));

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnSinkInput(nint context, SinkInputInfo* info, int last, nint user) =>
        Take(user, last, () => new PulseUser(info->Index, Text(info->Name) ?? "a nameless program", info->Sink, info->Corked != 0, info->Mute != 0, PulseDevice.Percents(info->Volume)));

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnSourceOutput(nint context, SourceOutputInfo* info, int last, nint user) =>
        Take(user, last, () => new PulseUser(info->Index, Text(info->Name) ?? "a nameless program", info->Source, info->Corked != 0, info->Mute != 0, PulseDevice.Percents(info->Volume)));

    [UnmanagedCallersOnly(CallConvs = [typeof(CallConvCdecl)])]
    private static void OnServer(nint context, ServerInfo* info, nint user)
    {
        Take(user, 0, () => info is null ? (null, null) : (Text(info->DefaultSink), Text(info->DefaultSource)));
        Take<(string?, string?)>(user, 1, () => default);
    }

    /// <summary>The library's lock, held.</summary>
    public readonly ref struct LockHold
    {
        private readonly nint _mainloop;

        public LockHold(nint mainloop)
        {
            _mainloop = mainloop;
            PulseApi.MainloopLock(mainloop);
        }

        public void Dispose() => PulseApi.MainloopUnlock(_mainloop);
    }

    private sealed class Answer<T>
    {
        public List<T> Items { get; } = [];

        public ManualResetEventSlim Done { get; } = new();
    }
}
