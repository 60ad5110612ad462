"""Refits of drag curves with scipy.optimize.curve_fit, as a peer for lib/garden. Reads a job as JSON, prints seconds and the fitted q."""
import json
import sys
import time

import numpy as np
from scipy.optimize import curve_fit

job = json.load(sys.stdin)
x2, pair, block = (np.array(job[name]) for name in ("x2", "pair", "block"))
apart, drift, weight = (np.array(job[name], dtype=float) for name in ("apart", "drift", "weight"))
start = np.array(job["start"], dtype=float)
rows = [np.flatnonzero(block == b) for b in range(job["blocks"])]


def drag(at, *theta):
    i = at.astype(int)
    q = np.asarray(theta[:-1])[pair[i]]
    return apart[i] / (1 + np.exp((x2[i] - q) * np.exp(-theta[-1])))


def slopes(at, *theta):
    i = at.astype(int)
    s = np.exp(-theta[-1])
    eta = (np.asarray(theta[:-1])[pair[i]] - x2[i]) * s
    p = 1 / (1 + np.exp(-eta))
    steep = p * (1 - p) * apart[i]
    out = np.zeros((i.size, len(theta)))
    out[np.arange(i.size), pair[i]] = steep * s
    out[:, -1] = -steep * eta
    return out


def refit(draw, jac):
    i = np.concatenate([rows[b] for b in draw])
    return curve_fit(drag, i.astype(float), drift[i], p0=start, sigma=weight[i] ** -0.5, jac=jac)[0]


result = {}
for name, jac in (("plain", None), ("derivatives", slopes)):
    refit(job["draws"][0], jac)
    begin = time.perf_counter()
    found = [refit(draw, jac) for draw in job["draws"]]
    result[name] = {"seconds": time.perf_counter() - begin, "q": [list(theta[:-1]) for theta in found]}
json.dump(result, sys.stdout)
