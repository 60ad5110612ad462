# Fits scikit-learn's random forest to the rows of a CSV file, once at the start and again for each line it is given.
# Same as ours: trees, features tried in a split, leaves of 1, bootstrap. The rest are its defaults.
import json, resource, sys, time
import numpy as np
from sklearn.ensemble import RandomForestClassifier

path, trees, tried, jobs = sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4])
rows = np.loadtxt(path, delimiter=",", skiprows=1)
x, y = np.ascontiguousarray(rows[:, :-3]), rows[:, -3].astype(int)


def once(seed):
    before, start = time.process_time(), time.perf_counter()
    forest = RandomForestClassifier(n_estimators=trees, max_features=tried, n_jobs=jobs, random_state=seed).fit(x, y)
    spent, busy = time.perf_counter() - start, time.process_time() - before
    print(json.dumps({"milliseconds": 1e3 * spent, "busy": 1e3 * busy, "accepted": len(forest.estimators_)}), flush=True)


once(0)
for seed, _ in enumerate(sys.stdin):
    once(seed + 1)
