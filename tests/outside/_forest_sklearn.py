# Out-of-site probabilities of scikit-learn's random forest: a CSV file in (features, then outcome, site and fold, no gaps), a line of JSON a seed out.
# Trees, half of the features that vary in a split, 3 rows at least in a leaf (each counted once, however often it was drawn). The rest are its defaults.
import json, math, sys
import numpy as np
import sklearn
from sklearn.ensemble import RandomForestClassifier

path, trees, leaf, seeds = sys.argv[1], *map(int, sys.argv[2:5])
rows = np.loadtxt(path, delimiter=",", skiprows=1)
x, y, fold = rows[:, :-3], rows[:, -3].astype(int), rows[:, -1].astype(int)
print(json.dumps({"version": sklearn.__version__}))
for seed in range(1, seeds + 1):
    p = np.zeros((len(y), 3))
    for f in range(fold.max() + 1):
        learn, test = fold != f, fold == f
        vary = x[learn].min(axis=0) < x[learn].max(axis=0)
        forest = RandomForestClassifier(n_estimators=trees, max_features=math.ceil(vary.sum() / 2), min_samples_leaf=leaf, random_state=1000 * seed + f)
        p[test] = forest.fit(x[learn][:, vary], y[learn]).predict_proba(x[test][:, vary])
    print(json.dumps({"seed": seed, "probabilities": [round(v, 12) for v in p.ravel()]}), flush=True)
