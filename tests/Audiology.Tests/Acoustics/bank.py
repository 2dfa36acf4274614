"""Mean squares of samples through third-octave filters: on sections handed over, and on sections scipy designs itself."""
import json
import os
import sys

import numpy
from scipy import signal

folder = sys.argv[1]
with open(os.path.join(folder, "input.json"), encoding="utf-8") as file:
    asked = json.load(file)
samples = numpy.fromfile(os.path.join(folder, "samples.f32"), "<f4").astype(numpy.float64)


def mean_square(sections):
    return float(numpy.mean(signal.sosfilt(sections, samples) ** 2))


same = [mean_square(numpy.array(band["sections"])) for band in asked["bands"]]
own = [
    mean_square(signal.butter(asked["order"], [band["lower"], band["upper"]], "bandpass", fs=asked["sampleRate"], output="sos"))
    for band in asked["bands"]
]
with open(os.path.join(folder, "output.json"), "w", encoding="utf-8") as file:
    json.dump({"sameSections": same, "ownDesign": own}, file)
