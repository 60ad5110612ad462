"""The choice of a penalty by scikit-learn's grid search, for tests/published/ridge_penalty.test.ts.

/usr/bin/python3 tests/published/_ridge_penalty.py > tests/published/data/ridge_penalty.json

Fisher's iris (scikit-learn's copy): three species by sepal length and width, and by eight columns that tell nothing,
i a mod m of row number i. Rows are dealt into five folds by row number modulo five. In each
training part columns are drawn in to the 5th and 95th percentile, then standardised; the penalty is 1 / C. Each probability passes the floor
(n p + 1) / (n + 3), n the rows learnt from, before its log loss is taken.
"""
import json
import numpy as np
import sklearn
from sklearn.base import BaseEstimator, TransformerMixin
from sklearn.datasets import load_iris
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import GridSearchCV, PredefinedSplit
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler


class DrawnIn(BaseEstimator, TransformerMixin):
    def fit(self, x, y=None):
        self.low_, self.high_ = np.quantile(x, [0.05, 0.95], axis=0)
        self.n_ = len(x)
        return self

    def transform(self, x):
        return np.clip(x, self.low_, self.high_)


def score(model, x, y):
    n = model[0].n_
    p = (n * model.predict_proba(x) + 1) / (n + 3)
    return np.log(p[np.arange(len(y)), y]).mean()


penalties = [0.125, 0.5, 2, 8, 32]
x, y = load_iris(return_X_y=True)
noise = [(37, 101), (53, 97), (71, 89), (29, 83), (61, 103), (43, 107), (17, 79), (59, 73)]
x = np.column_stack([x[:, :2]] + [np.arange(len(y)) * a % m for a, m in noise])
model = make_pipeline(DrawnIn(), StandardScaler(), LogisticRegression(solver="newton-cg", tol=1e-12, max_iter=10000, multi_class="multinomial"))
search = GridSearchCV(model, {"logisticregression__C": [1 / each for each in penalties]}, scoring=score,
                      cv=PredefinedSplit(np.arange(len(y)) % 5))
search.fit(x, y)
print(json.dumps({
    "made": f"/usr/bin/python3 tests/published/_ridge_penalty.py, scikit-learn {sklearn.__version__}, GridSearchCV",
    "penalties": penalties,
    "logLoss": [-each for each in search.cv_results_["mean_test_score"]],
    "chosen": 1 / search.best_params_["logisticregression__C"],
}, indent=2))
