namespace TeleHearing.Site.Agent.Audio;

/// <summary>Owns the sound devices: one loop keeps the output open for the whole run and gates tones inside the stream. Its count of frames is the kit clock.</summary>
/// <remarks>
/// <see cref="RunAsync"/> is the only reader and writer of the devices. <see cref="Silence"/> and the button may be called from any thread.
/// The loop asks for the lease at every block itself, so that silence needs no other thread to be alive.
/// </remarks>
internal sealed partial class AudioEngine(
    IAudioOutput output,
    IAudioInput? input,
    IPressSource? presses,
    Pace pace,
    Func<bool> leaseIsValid,
    Recorder? recorder,
    ILogger<AudioEngine> logger) : IDisposable
{
    private readonly float[] _stereo = new float[AudioFormat.BlockFrames * AudioFormat.Channels];
    private readonly BlockMixer _mixer = new();
    private readonly float[] _room = new float[AudioFormat.BlockFrames];
    private readonly List<ButtonPress> _blockPresses = [];
    private readonly SemaphoreSlim _work = new(0);
    private readonly Lock _slot = new();
    private DeviceFault? _closed;
    private DeviceFault? _mendable;
    private RunningPresentation? _next;
    private RunningPresentation? _current;
    private ResponseButton? _button;
    private long _frames;
    private int _latencyFrames = output.LatencyFrames;
    private int _silenceCount;
    private bool _sounding;

    /// <summary>Sound went on (true) or off (false). Raised on the audio loop; handlers must not wait.</summary>
    public event Action<bool>? SoundChanged;

    /// <summary>The kit clock: frames handed to the output so far.</summary>
    public long Frames => Interlocked.Read(ref _frames);

    /// <summary>The frame that sounds now: the device is a little behind what was handed to it. A press belongs to what sounds.</summary>
    public long HeardFrames => Math.Max(0, Frames - Volatile.Read(ref _latencyFrames));

    /// <summary>The kit clock in ms.</summary>
    public double NowMs => AudioFormat.MillisecondsOf(Frames);

    /// <summary>The response button.</summary>
    public ResponseButton Button => LazyInitializer.EnsureInitialized(ref _button, () => new ResponseButton(() => HeardFrames, presses));

    /// <summary>Name of the output device.</summary>
    public string OutputName => output.DeviceName;

    /// <summary>Rate of the output device in Hz.</summary>
    public int OutputRateHz => output.SampleRateHz;

    /// <summary>From a sample handed over to its sound, in ms, as the device reports it; 0 for a simulated one.</summary>
    public double OutputLatencyMs => AudioFormat.MillisecondsOf(Volatile.Read(ref _latencyFrames));

    /// <summary>The measurement microphone; absent when the kit has none.</summary>
    public IAudioInput? Microphone => input;

    /// <summary>What the microphone heard last.</summary>
    public RoomMemory RoomBefore { get; } = new();

    /// <summary>Hears every block of the microphone, with or without a presentation in hand. Set before the loop begins.</summary>
    public IRoomListener? Monitor { get; set; }

    /// <summary>What is wrong with a device now: for good once it failed, until it is mended when its mixer was moved.</summary>
    public DeviceFault? Fault => Volatile.Read(ref _closed) ?? Volatile.Read(ref _mendable);

    /// <summary>Ends every presentation handed over so far: silence within the next block, with a fall of one block so that nothing clicks.</summary>
    public void Silence() => Interlocked.Increment(ref _silenceCount);

    /// <summary>Plays one presentation and returns when it is over. Cancelling silences it; the result then says so.</summary>
    /// <exception cref="InvalidOperationException">Another presentation is in hand, a sound is longer than any may be, or it needs no lease.</exception>
    public async Task<PresentationResult> PresentAsync(Presentation presentation, CancellationToken cancellationToken)
    {
        if ((presentation.Tone is not null && presentation.BodyFrames > AudioFormat.FramesOf(Presentation.LongestToneMs))
            || (presentation.Masker is not null && presentation.TotalFrames > AudioFormat.FramesOf(Presentation.LongestMaskerMs)))
        {
            throw new InvalidOperationException("A stimulus longer than its longest duration was asked for.");
        }

        if (presentation.MakesSound && !presentation.NeedsLease)
        {
            throw new InvalidOperationException("Sound without a lease was asked for.");
        }

        var running = new RunningPresentation(presentation, Volatile.Read(ref _silenceCount), cancellationToken);
        lock (_slot)
        {
            if (_closed is not null)
            {
                return new PresentationResult(PresentationEnd.DeviceFault, Frames, [], _closed);
            }

            if (_next is not null)
            {
                throw new InvalidOperationException("A presentation is in hand already.");
            }

            _next = running;
        }

        _work.Release();
        return await running.Done.Task;
    }

    /// <summary>The audio loop. Returns when cancelled or when a device failed.</summary>
    public async Task RunAsync(CancellationToken stopping)
    {
        try
        {
            while (!stopping.IsCancellationRequested)
            {
                if (pace == Pace.Fast && _current is null)
                {
                    await _work.WaitAsync(stopping);
                }

                await BlockAsync(stopping);
            }
        }
        catch (OperationCanceledException) when (stopping.IsCancellationRequested)
        {
            // the program ends; see below
        }
        catch (IOException fault)
        {
            Log.DeviceFailed(logger, fault);
            Close((fault as DeviceFaultException)?.Fault ?? Lasting(fault.Message, "Check the cable, then restart the kit."), PresentationEnd.DeviceFault);
        }
        catch (Exception fault)
        {
            // whatever it was: nothing is played any more, and whoever waits for a presentation must hear that it is over
            Log.LoopFailed(logger, fault);
            Close(Lasting("The part of the program that makes sound had a fault.", "Restart the kit; if it comes back, send its logs."), PresentationEnd.DeviceFault);
        }

        Close(Lasting("The program is ending.", "Start it again."), PresentationEnd.Silenced);

        // given back at once, so that a device that stood still has nothing left to play when it comes round
        await output.DisposeAsync();
        if (input is not null)
        {
            await input.DisposeAsync();
        }
    }

    /// <summary>Ends the recording, once the loop has ended.</summary>
    public void Dispose()
    {
        recorder?.Dispose();
        _work.Dispose();
    }

    private async Task BlockAsync(CancellationToken stopping)
    {
        // asked for here alone: the device may be given back at any other moment
        Volatile.Write(ref _latencyFrames, output.LatencyFrames);
        TakeNext();
        var start = Frames;
        var fault = LookAtDevices();
        var end = FillBlock(start, fault);
        recorder?.Add(start, _stereo);
        await output.WriteAsync(_stereo, stopping);
        Listen(start);

        Interlocked.Add(ref _frames, AudioFormat.BlockFrames);
        _blockPresses.Clear();
        Button.TakeUntil(Frames, _blockPresses);
        _current?.Presses.AddRange(_blockPresses);
        if (end is not null)
        {
            Finish(end.Value, end == PresentationEnd.DeviceFault ? fault : null);
        }
    }

    /// <summary>What forbids sound in the next block.</summary>
    private DeviceFault? LookAtDevices()
    {
        var fault = output.CheckFault() ?? input?.CheckFault();
        var standing = fault is { Kind: DeviceFaultKind.Mendable } ? fault : null;
        if (standing is not null && standing != _mendable)
        {
            Log.NotTrusted(logger, standing.Sentence);
        }

        Volatile.Write(ref _mendable, standing);
        return fault is { Kind: DeviceFaultKind.Lasting } ? throw new DeviceFaultException(fault) : fault;
    }

    /// <summary>At most two blocks, so that a microphone with a quicker clock does not fall behind for good.</summary>
    private void Listen(long start)
    {
        for (var block = 0; block < 2 && input?.TryRead(_room) == true; block++)
        {
            RoomBefore.Add(_room);
            Monitor?.Hear(start - _latencyFrames, _room);
            _current?.Hear(start - _latencyFrames, _room);
        }
    }

    private void TakeNext()
    {
        if (_current is not null)
        {
            return;
        }

        lock (_slot)
        {
            _current = _next;
        }

        _current?.Begin(Frames, _latencyFrames);
    }

    /// <summary>Renders the next block and says how the presentation ends with it, if it does.</summary>
    private PresentationEnd? FillBlock(long start, DeviceFault? fault)
    {
        Array.Clear(_stereo);
        if (_current is not { } current)
        {
            return null;
        }

        PresentationEnd? end =
            current.SilenceCount != Volatile.Read(ref _silenceCount) || current.Token.IsCancellationRequested ? PresentationEnd.Silenced
            : current.Presentation.NeedsLease && !leaseIsValid() ? PresentationEnd.LeaseLapsed
            : fault is not null ? PresentationEnd.DeviceFault
            : null;
        var sounds = _mixer.Render(current, start, fall: end is not null, _stereo);
        SetSounding(sounds && end is null);
        if (end is null && start + AudioFormat.BlockFrames >= current.EndFrame)
        {
            end = PresentationEnd.Complete;
        }

        return end;
    }

    private void SetSounding(bool sounding)
    {
        if (sounding != _sounding)
        {
            _sounding = sounding;
            SoundChanged?.Invoke(sounding);
        }
    }

    /// <summary>Nothing is played after this; what is in hand or comes later is ended at once.</summary>
    private void Close(DeviceFault fault, PresentationEnd end)
    {
        lock (_slot)
        {
            _closed ??= fault;
            _current ??= _next;
        }

        Finish(end, end == PresentationEnd.DeviceFault ? fault : null);
    }

    private static DeviceFault Lasting(string sentence, string mend) => new(DeviceFaultKind.Lasting, sentence, mend);

    private void Finish(PresentationEnd end, DeviceFault? fault)
    {
        var finished = _current;
        _current = null;
        lock (_slot)
        {
            _next = null;
        }

        try
        {
            SetSounding(false);
        }
        finally
        {
            finished?.Done.TrySetResult(new PresentationResult(end, finished.OnsetFrame, [.. finished.Presses], fault));
        }
    }
}
