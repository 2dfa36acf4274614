using TeleHearing.Audiology.Signals;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>A tone made by the synthesizer.</summary>
internal sealed class SynthesizedTone(ToneSpec spec) : ITone
{
    private readonly ToneSynthesizer _synthesizer = new(spec);

    public long TotalFrames => _synthesizer.TotalFrames;

    public void Render(long startFrame, Span<float> mono) => _synthesizer.Render(startFrame, mono);
}
