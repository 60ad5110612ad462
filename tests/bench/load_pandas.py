"""Reads a CSV file with pandas.read_csv, bare, each time a line comes in, and prints the milliseconds of clock and processor."""

import json
import sys
import time

import pandas


def load():
    clock, busy = time.perf_counter(), time.process_time()
    rows = len(pandas.read_csv(sys.argv[1]))
    return {
        "milliseconds": 1000 * (time.perf_counter() - clock),
        "busy": 1000 * (time.process_time() - busy),
        "accepted": rows,
        "version": pandas.__version__,
    }


print(json.dumps(load()), flush=True)
for _ in sys.stdin:
    print(json.dumps(load()), flush=True)
