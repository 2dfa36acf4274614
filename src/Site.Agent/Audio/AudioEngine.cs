using TeleHearing.Audiology;

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
    private readonly float[] _mono = new float[AudioFormat.BlockFrames];
    private readonly float[] _room = new float[AudioFormat.BlockFrames];
    private readonly List<ButtonPress> _blockPresses = [];
    private readonly SemaphoreSlim _work = new(0);
    private readonly Lock _slot = new();
    private Running? _next;
    private Running? _current;
    private ResponseButton? _button;
    private long _frames;
    private int _silenceCount;
    private bool _sounding;

    /// <summary>Sound went on (true) or off (false). Raised on the audio loop; handlers must not wait.</summary>
    public event Action<bool>? SoundChanged;

    /// <summary>The kit clock: frames handed to the output so far.</summary>
    public long Frames => Interlocked.Read(ref _frames);

    /// <summary>The kit clock in ms.</summary>
    public double NowMs => AudioFormat.MillisecondsOf(Frames);

    /// <summary>The response button.</summary>
    public ResponseButton Button => LazyInitializer.EnsureInitialized(ref _button, () => new ResponseButton(() => Frames, presses));

    /// <summary>Name of the output device.</summary>
    public string OutputName => output.DeviceName;

    /// <summary>Rate of the output device in Hz.</summary>
    public int OutputRateHz => output.SampleRateHz;

    /// <summary>The measurement microphone; absent when the kit has none.</summary>
    public IAudioInput? Microphone => input;

    /// <summary>What the microphone heard last.</summary>
    public RoomMemory RoomBefore { get; } = new();

    /// <summary>What went wrong with a device, once something did.</summary>
    public string? Fault { get; private set; }

    /// <summary>Ends every presentation handed over so far: silence within the next block, with a fall of one block so that nothing clicks.</summary>
    public void Silence() => Interlocked.Increment(ref _silenceCount);

    /// <summary>Plays one presentation and returns when it is over. Cancelling silences it; the result then says so.</summary>
    /// <exception cref="InvalidOperationException">Another presentation is in hand, or the tone is longer than any stimulus may be.</exception>
    public async Task<PresentationResult> PresentAsync(Presentation presentation, CancellationToken cancellationToken)
    {
        if (presentation.Tone is not null && presentation.BodyFrames > AudioFormat.FramesOf(Presentation.LongestToneMs))
        {
            throw new InvalidOperationException("A stimulus longer than its longest duration was asked for.");
        }

        var running = new Running(presentation, Volatile.Read(ref _silenceCount), cancellationToken);
        lock (_slot)
        {
            if (Fault is not null)
            {
                return new PresentationResult(PresentationEnd.DeviceFault, Frames, []);
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
            Close(fault.Message, PresentationEnd.DeviceFault);
        }
        catch (Exception fault)
        {
            // whatever it was: nothing is played any more, and whoever waits for a presentation must hear that it is over
            Log.LoopFailed(logger, fault);
            Close("The part of the program that makes sound had a fault.", PresentationEnd.DeviceFault);
        }

        Close("The program is ending.", PresentationEnd.Silenced);
    }

    /// <summary>Ends the recording, once the loop has ended.</summary>
    public void Dispose()
    {
        recorder?.Dispose();
        _work.Dispose();
    }

    private async Task BlockAsync(CancellationToken stopping)
    {
        TakeNext();
        var start = Frames;
        var end = FillBlock(start);
        recorder?.Add(start, _stereo);
        await output.WriteAsync(_stereo, stopping);
        if (input is not null)
        {
            await input.ReadAsync(_room, stopping);
            RoomBefore.Add(_room);
            _current?.Hear(start, _room);
        }

        Interlocked.Add(ref _frames, AudioFormat.BlockFrames);
        _blockPresses.Clear();
        Button.TakeUntil(Frames, _blockPresses);
        _current?.Presses.AddRange(_blockPresses);
        if (end is not null)
        {
            Finish(end.Value);
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

        _current?.Begin(Frames);
    }

    /// <summary>Renders the next block and says how the presentation ends with it, if it does.</summary>
    private PresentationEnd? FillBlock(long start)
    {
        Array.Clear(_stereo);
        if (_current is not { } current)
        {
            return null;
        }

        PresentationEnd? end =
            current.SilenceCount != Volatile.Read(ref _silenceCount) || current.Token.IsCancellationRequested ? PresentationEnd.Silenced
            : current.Presentation.NeedsLease && !leaseIsValid() ? PresentationEnd.LeaseLapsed
            : null;
        var sounds = Render(current, start, fall: end is not null);
        SetSounding(sounds && end is null);
        if (end is null && start + AudioFormat.BlockFrames >= current.EndFrame)
        {
            end = PresentationEnd.Complete;
        }

        return end;
    }

    /// <summary>Puts the part of the tone that lies in this block into its channel, to the frame; with a fall, only the end of a tone already sounding.</summary>
    private bool Render(Running current, long start, bool fall)
    {
        var presentation = current.Presentation;
        var from = Math.Max(start, current.OnsetFrame);
        var to = Math.Min(start + AudioFormat.BlockFrames, current.OnsetFrame + Math.Min(presentation.BodyFrames, presentation.Tone?.TotalFrames ?? 0));
        if (presentation.Tone is null || from >= to || (fall && start <= current.OnsetFrame))
        {
            return false;
        }

        var mono = _mono.AsSpan(0, (int)(to - from));
        mono.Clear();
        presentation.Tone.Render(from - current.OnsetFrame, mono);
        var channel = presentation.Ear == Ear.Left ? 0 : 1;
        for (var index = 0; index < mono.Length; index++)
        {
            var place = (int)(from - start) + index;
            var gain = fall ? 0.5f * (1 + MathF.Cos(MathF.PI * (place + 1) / AudioFormat.BlockFrames)) : 1f;
            _stereo[(place * AudioFormat.Channels) + channel] = mono[index] * gain;
        }

        return true;
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
    private void Close(string fault, PresentationEnd end)
    {
        lock (_slot)
        {
            Fault ??= fault;
            _current ??= _next;
        }

        Finish(end);
    }

    private void Finish(PresentationEnd end)
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
            finished?.Done.TrySetResult(new PresentationResult(end, finished.OnsetFrame, [.. finished.Presses]));
        }
    }

    /// <summary>A presentation with its place on the kit clock. Used by the audio loop alone, but for its completion.</summary>
    private sealed class Running(Presentation presentation, int silenceCount, CancellationToken token)
    {
        public Presentation Presentation => presentation;

        public int SilenceCount => silenceCount;

        public CancellationToken Token => token;

        public TaskCompletionSource<PresentationResult> Done { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

        public List<ButtonPress> Presses { get; } = [];

        public long OnsetFrame { get; private set; }

        public long EndFrame { get; private set; }

        public void Begin(long frame)
        {
            OnsetFrame = frame + presentation.LeadFrames;
            EndFrame = frame + presentation.TotalFrames;
        }

        public void Hear(long start, ReadOnlySpan<float> mono) => presentation.Room?.Hear(start - OnsetFrame, mono);
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2002, Level = LogLevel.Critical, Message = "The audio loop failed; the kit stays silent.")]
        public static partial void LoopFailed(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 2001, Level = LogLevel.Error, Message = "A sound device failed; the kit stays silent.")]
        public static partial void DeviceFailed(ILogger logger, Exception fault);
    }
}
