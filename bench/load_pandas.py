"""Reads the CSV files named on the command line with pandas.read_csv, bare, and prints the milliseconds of each time."""

import json
import sys
import time

import pandas

path, repeats = sys.argv[1], int(sys.argv[2])
milliseconds = []
for _ in range(repeats):
    start = time.perf_counter()
    pandas.read_csv(path)
    milliseconds.append(1000 * (time.perf_counter() - start))
print(json.dumps({"milliseconds": milliseconds, "version": pandas.__version__}))
