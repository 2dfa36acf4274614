"""Measures sounds with scipy: a second opinion that shares no code with the project.

Argument: a folder with input.json and samples.f32 (raw 32-bit floats); output.json is written there.
"""
import json
import sys
from pathlib import Path

import numpy as np
from scipy import linalg, signal

# Reference equivalent threshold sound pressure levels, dB re 20 uPa, written out from the standards a second time. ISO 389-1, ISO 389-2, ISO 389-8: 125 Hz to 8 kHz;
# ISO 389-5: 9 to 16 kHz, and 8 to 16 kHz for the high-frequency insert. 60318-3 and 60318-5 at 750, 1500, 3000 and 6000 Hz are from memory.
CONVENTIONAL = [125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000]
HIGH = [9000, 10000, 11200, 12500, 14000, 16000]
THRESHOLDS = {
    "SupraAural/Iec60318Part1": dict(zip(CONVENTIONAL, [45, 27, 13.5, 9, 7.5, 7.5, 9, 11.5, 12, 16, 15.5])),
    "SupraAural/Iec60318Part3": dict(zip(CONVENTIONAL, [45, 25.5, 11.5, 8, 7, 6.5, 9, 10, 9.5, 15.5, 13])),
    "Insert/Iec60318Part4": dict(zip(CONVENTIONAL, [28, 17.5, 9.5, 6, 5.5, 9.5, 11.5, 13, 15, 16, 15.5])),
    "Insert/Iec60318Part5": dict(zip(CONVENTIONAL, [26, 14, 5.5, 2, 0, 2, 3, 3.5, 5.5, 2, 0])),
    "Circumaural/Iec60318Part1WithFlatPlate": dict(
        zip(CONVENTIONAL + HIGH, [30.5, 18, 11, 6, 5.5, 5.5, 4.5, 2.5, 9.5, 17, 17.5, 19, 22, 23, 27.5, 35, 56])
    ),
    "HighFrequencyInsert/Iec60318Part4": dict(zip([8000] + HIGH, [19, 16, 20, 30.5, 37, 43.5, 53])),
}

# ISO 389-4, a third of an octave, from memory: dB to add to the threshold.
MASKING = dict(zip(CONVENTIONAL, [4, 4, 4, 5, 6, 6, 6, 6, 5, 5, 5]))

FOLDER = Path(sys.argv[1])
INPUT = json.loads((FOLDER / "input.json").read_text())
RATE = INPUT["sampleRateHz"]
SAMPLES = np.fromfile(FOLDER / "samples.f32", "<f4")


def cut(item):
    return SAMPLES[item["offset"] : item["offset"] + item["frames"]].astype(float)


def sine_fit(columns, hertz):
    """Amplitudes of the best-fitting sines of a known frequency, and what is left over; one column a sound."""
    time = np.arange(len(columns)) / RATE
    basis = np.column_stack([np.cos(2 * np.pi * hertz * time), np.sin(2 * np.pi * hertz * time), np.ones_like(time)])
    parts, *_ = linalg.lstsq(basis, columns)
    return np.hypot(parts[0], parts[1]), columns - basis @ parts


def decibels(ratio):
    return 20 * np.log10(ratio)


def levels(group):
    count = len(group["levelsDbHl"])
    tones = SAMPLES[group["offset"] : group["offset"] + count * group["frames"]].astype(float).reshape(count, group["frames"]).T
    peaks, _ = sine_fit(tones, group["hertz"])
    threshold = THRESHOLDS[group["gear"]][group["hertz"]]
    measured = np.array(group["splAtFullScaleDb"]) + decibels(peaks) - threshold
    wanted = np.array(group["levelsDbHl"])
    return {
        "gear": group["gear"],
        "hertz": group["hertz"],
        "count": count,
        "largestErrorDb": float(np.max(np.abs(measured - wanted))),
        "largestStepErrorDb": float(np.max(np.abs(np.diff(measured) - np.diff(wanted)))),
    }


def purity(item):
    """Frequency from the slope of the phase; everything that is not the sine, harmonics and noise alike, over the sine."""
    tone = cut(item)
    phase = np.unwrap(np.angle(signal.hilbert(tone * signal.windows.tukey(len(tone), 0.2))))
    inner = slice(len(tone) // 5, -len(tone) // 5)
    time = np.arange(len(tone)) / RATE
    hertz = np.polyfit(time[inner], phase[inner], 1)[0] / (2 * np.pi)
    peak, rest = sine_fit(tone, item["hertz"])
    return {
        "hertz": item["hertz"],
        "frequencyErrorPercent": float(100 * abs(hertz / item["hertz"] - 1)),
        "distortionAndNoiseDb": float(decibels(np.sqrt(2 * np.mean(rest**2)) / peak)),
    }


def envelope(item):
    """Magnitude of the analytic signal over the plateau's."""
    sound = np.concatenate([np.zeros(RATE // 10), cut(item), np.zeros(RATE // 10)])
    return np.abs(signal.hilbert(sound)) / item["peak"]


def crossings(values, level):
    """Times in ms at which the values go through a level, straight between the samples."""
    above = values >= level
    places = np.flatnonzero(above[1:] != above[:-1])
    return [1000 / RATE * (k + (level - values[k]) / (values[k + 1] - values[k])) for k in places]


def ramps(item):
    shape = envelope(item)
    low, high = crossings(shape, 10 ** (-20 / 20)), crossings(shape, 10 ** (-1 / 20))
    return {
        "hertz": item["hertz"],
        "riseMs": high[0] - low[0],
        "fallMs": low[-1] - high[-1],
        "overshootDb": float(decibels(np.max(shape))),
        "offDb": float(decibels(max(np.max(np.abs(shape[: RATE // 20])), np.max(np.abs(shape[-RATE // 20 :])), 1e-12))),
    }


def pulses(item):
    times = crossings(envelope(item), 10 ** (-5 / 20))
    lengths = np.diff(times)
    plateau = crossings(envelope(item), 10 ** (-0.1 / 20))
    return {"hertz": item["hertz"], "onMs": list(lengths[::2]), "offMs": list(lengths[1::2]), "plateauMs": plateau[1] - plateau[0]}


def spectrum(item):
    """Welch's density over whole periods of the noise, which shows its lines one by one."""
    return signal.welch(cut(item), RATE, window="boxcar", nperseg=item["frames"], noverlap=0, detrend=False)


def band(item):
    hertz, density = spectrum(item)
    step = hertz[1] - hertz[0]
    spl = item["splAtFullScaleDb"] + 10 * np.log10(2 * np.sum(density) * step)
    relative = 10 * np.log10(np.maximum(density / np.max(density), 1e-30))
    inside = hertz[relative >= -3.0103]
    lower, upper = inside[0], inside[-1]

    # how far the density lies over a fall of 12 dB an octave from the edges, down to -36 dB
    away = np.maximum(np.log2(np.maximum(lower, 1e-9) / np.maximum(hertz, 1e-9)), np.log2(np.maximum(hertz, 1e-9) / upper))
    skirt = np.max((relative - np.maximum(-3 - 12 * away, -36))[away > 0])
    result = {"hertz": item["hertz"], "lowerHz": float(lower), "upperHz": float(upper), "skirtExcessDb": float(skirt), "splDb": float(spl), "crest": crest(item)}
    if item["gear"] is not None:
        result["effectiveMaskingDb"] = float(spl - THRESHOLDS[item["gear"]][item["hertz"]] - MASKING[item["hertz"]])
    return result


def crest(item):
    noise = cut(item)
    return float(np.max(np.abs(noise)) / np.sqrt(np.mean(noise**2)))


def broad(item):
    """Level, and the slope of the density in dB an octave over each stretch asked for."""
    hertz, density = spectrum(item)
    step = hertz[1] - hertz[0]
    slopes = []
    for low, high in item["stretchesHz"]:
        part = (hertz >= low) & (hertz <= high)
        slopes.append(float(np.polyfit(np.log2(hertz[part]), 10 * np.log10(density[part]), 1)[0]))
    outside = (hertz < item["fromHz"] - step) | (hertz > item["toHz"] + step)
    return {
        "colour": item["colour"],
        "splDb": float(item["splAtFullScaleDb"] + 10 * np.log10(2 * np.sum(density) * step)),
        "slopesDbAnOctave": slopes,
        "outsideDb": float(10 * np.log10(max(np.sum(density[outside]) / np.sum(density), 1e-30))),
        "crest": crest(item),
    }


def warble(item):
    """Instantaneous frequency from the phase of the analytic signal."""
    inner = slice(RATE // 5, -RATE // 5)
    analytic = signal.hilbert(cut(item))
    frequency = (np.diff(np.unwrap(np.angle(analytic))) * RATE / (2 * np.pi))[inner]
    middle = frequency.mean()

    # The swing is a slow tone of its own: its rate is the slope of its phase, away from the ends.
    swing = np.unwrap(np.angle(signal.hilbert(frequency - middle)))[RATE // 2 : -RATE // 2]
    rate = np.polyfit(np.arange(len(swing)) / RATE, swing, 1)[0] / (2 * np.pi)
    return {
        "hertz": item["hertz"],
        "middleHz": float(middle),
        "rateHz": float(rate),
        "upPercent": float(100 * (frequency.max() / item["hertz"] - 1)),
        "downPercent": float(100 * (1 - frequency.min() / item["hertz"])),
        "peak": float(np.median(np.abs(analytic[inner]))),
    }


MEASURES = {"levels": levels, "purity": purity, "ramps": ramps, "pulses": pulses, "bands": band, "broad": broad, "warbles": warble}
OUTPUT = {name: [measure(item) for item in INPUT[name]] for name, measure in MEASURES.items()}
(FOLDER / "output.json").write_text(json.dumps(OUTPUT))
