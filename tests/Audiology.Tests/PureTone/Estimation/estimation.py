"""Bayes' rule and a conditioned Gaussian, written from the formulae with numpy and scipy alone: a grid over threshold, spread, lapse and false alarms."""
import json
import os
import sys

import numpy
from scipy.special import xlogy
from scipy.stats import norm

folder = sys.argv[1]
with open(os.path.join(folder, "input.json"), encoding="utf-8") as file:
    asked = json.load(file)

threshold, spread, lapse, guess = numpy.meshgrid(
    asked["thresholds"], asked["spreads"], asked["lapses"], asked["guesses"], indexing="ij"
)
shape = threshold.shape
weights = numpy.array(asked["prior"])[:, None, None, None] * numpy.array(asked["listeners"]).reshape(shape[1:])[None]
weights /= weights.sum()


def chance(level):
    return guess + (1 - guess - lapse) * norm.cdf((level - threshold) / spread)


def entropy(p):
    return -(xlogy(p, p) + xlogy(1 - p, 1 - p))


marginals, information = [], []
for answer in asked["answers"]:
    likelihood = guess if answer["silence"] else chance(answer["level"])
    weights = weights * (likelihood if answer["heard"] else 1 - likelihood)
    weights /= weights.sum()
    marginal = weights.sum(axis=(1, 2, 3))
    marginals.append(marginal.tolist())
    row = []
    for level in asked["levels"]:
        yes = (weights * chance(level)).sum(axis=(1, 2, 3))
        known = marginal > 1e-200
        row.append(float(entropy(yes.sum()) - (marginal[known] * entropy(yes[known] / marginal[known])).sum()))
    information.append(row)

covariance, across, deviations = (numpy.array(asked[name]) for name in ("covariance", "across", "deviations"))
solved = numpy.linalg.solve(covariance, numpy.column_stack([deviations, across]))
result = {
    "marginals": marginals,
    "information": information,
    "mean": float(across @ solved[:, 0]),
    "variance": float(asked["variance"] - across @ solved[:, 1]),
    "logEvidence": float(-0.5 * (deviations @ solved[:, 0] + numpy.linalg.slogdet(covariance)[1])),
}
with open(os.path.join(folder, "output.json"), "w", encoding="utf-8") as file:
    json.dump(result, file)
