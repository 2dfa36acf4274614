namespace TeleHearing.Audiology.Signals;

/// <summary>How the power of a noise lies over frequency. A closed set.</summary>
internal abstract record NoiseSpectrum
{
    private NoiseSpectrum()
    {
    }

    /// <summary>Lowest frequency with any power, Hz.</summary>
    public abstract double LowestHz { get; }

    /// <summary>Highest frequency with any power, Hz.</summary>
    public abstract double HighestHz { get; }

    /// <summary>Power in each hertz at a frequency between the two, in any unit.</summary>
    public abstract double PowerAt(double hertz);

    /// <summary>The spectrum of a broad noise.</summary>
    public static NoiseSpectrum Of(NoiseColour colour) => colour switch
    {
        NoiseColour.Speech => new Speech(),
        NoiseColour.White => new White(),
        NoiseColour.Pink => new Pink(),
        _ => throw new ArgumentOutOfRangeException(nameof(colour), colour, "There is no noise of this kind."),
    };

    /// <summary>A band around a frequency.</summary>
    /// <remarks>
    /// IEC 60645-1 and ANSI S3.6 (from memory): -3 dB width between a third and half an octave, skirts of 12 dB an octave or steeper down to -36 dB at least. Here the power is that of a
    /// Butterworth band-pass of sixth order between -3 dB points <see cref="WidthOctaves"/> apart. It is just wider than a third of an octave, so that measured edges stay inside the
    /// range and the correction tabulated for a third of an octave holds (0.2 dB of band power more than a third has; the masker's tolerance is -3 / +5 dB).
    /// Beyond <see cref="ReachOctaves"/> on either side, where it is 60 dB down, there is nothing: so the band at 16 kHz still fits below half of 48 kHz.
    /// </remarks>
    public sealed record NarrowBand(double CentreHz) : NoiseSpectrum
    {
        /// <summary>Between the -3 dB points, octaves.</summary>
        public const double WidthOctaves = 0.35;

        /// <summary>From the middle to where nothing is left, octaves.</summary>
        public const double ReachOctaves = 0.55;

        private const int Order = 6;
        private static readonly double _quality = 1 / (Math.Pow(2, WidthOctaves / 2) - Math.Pow(2, -WidthOctaves / 2));

        public override double LowestHz => CentreHz * Math.Pow(2, -ReachOctaves);

        public override double HighestHz => CentreHz * Math.Pow(2, ReachOctaves);

        public override double PowerAt(double hertz) =>
            1 / (1 + Math.Pow(_quality * ((hertz / CentreHz) - (CentreHz / hertz)), 2 * Order));
    }

    /// <summary>Even from 100 Hz (a design choice) to 1 kHz, then -12 dB an octave to 6 kHz (IEC 60645-1, from memory).</summary>
    public sealed record Speech : NoiseSpectrum
    {
        private const double CornerHz = 1000;

        public override double LowestHz => 100;

        public override double HighestHz => 6000;

        public override double PowerAt(double hertz) => hertz <= CornerHz ? 1 : Math.Pow(CornerHz / hertz, 4);
    }

    /// <summary>Even over the range of hearing.</summary>
    public sealed record White : NoiseSpectrum
    {
        public override double LowestHz => 20;

        public override double HighestHz => 20_000;

        public override double PowerAt(double hertz) => 1;
    }

    /// <summary>Even for each octave of the range of hearing.</summary>
    public sealed record Pink : NoiseSpectrum
    {
        public override double LowestHz => 20;

        public override double HighestHz => 20_000;

        public override double PowerAt(double hertz) => 1 / hertz;
    }
}
