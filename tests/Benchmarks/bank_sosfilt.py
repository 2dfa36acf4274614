"""Times scipy's sosfilt on sections and samples handed over, one band after the other in one thread: the filtering alone, the best round of each band."""
import json
import os
import sys
import time

import numpy
from scipy import signal

folder = sys.argv[1]
with open(os.path.join(folder, "input.json"), encoding="utf-8") as file:
    asked = json.load(file)
samples = numpy.fromfile(os.path.join(folder, "samples.f32"), "<f4").astype(numpy.float64)
bands = [numpy.array(sections) for sections in asked["bands"]]
timed = samples[: asked["timed"]]
best = [float("inf")] * len(bands)
for _ in range(asked["rounds"]):
    for band, sections in enumerate(bands):
        start = time.perf_counter()
        signal.sosfilt(sections, timed)
        best[band] = min(best[band], time.perf_counter() - start)
with open(os.path.join(folder, "output.json"), "w", encoding="utf-8") as file:
    json.dump({"seconds": sum(best), "meanSquares": [float(numpy.mean(signal.sosfilt(sections, samples) ** 2)) for sections in bands]}, file)
