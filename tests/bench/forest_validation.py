# Grouped validation of scikit-learn's random forest with permutation importance by log loss, on the rows and folds of a CSV file, once.
# Prints seconds by the clock; the log losses show that both did the same work.
import json, sys, time
import numpy as np
from sklearn.ensemble import RandomForestClassifier
from sklearn.inspection import permutation_importance
from sklearn.metrics import log_loss, make_scorer

path, trees, tried, jobs, repeats = sys.argv[1], *map(int, sys.argv[2:6])
rows = np.loadtxt(path, delimiter=",", skiprows=1)
x, y, fold = np.ascontiguousarray(rows[:, :-3]), rows[:, -3].astype(int), rows[:, -1].astype(int)
score = make_scorer(log_loss, greater_is_better=False, needs_proba=True, labels=[0, 1, 2])
start, before = time.perf_counter(), time.process_time()
losses, growth = [], []
for f in range(fold.max() + 1):
    learn, test = fold != f, fold == f
    forest = RandomForestClassifier(n_estimators=trees, max_features=tried, n_jobs=jobs, random_state=1).fit(x[learn], y[learn])
    losses.append(log_loss(y[test], np.clip(forest.predict_proba(x[test]), 1e-3, 1), labels=[0, 1, 2]) * test.sum())
    found = permutation_importance(forest, x[test], y[test], scoring=score, n_repeats=repeats, random_state=1)
    growth.append(found.importances_mean)
print(json.dumps({
    "milliseconds": 1e3 * (time.perf_counter() - start),
    "busy": 1e3 * (time.process_time() - before),
    "logLoss": sum(losses) / len(y),
}))
