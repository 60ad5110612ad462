# %% [markdown]
# A season's write-up by pandas, scikit-learn, scipy and matplotlib: the same questions as the project's first four notebooks, with as many
# folds, trees, repeats and resamples, in ordinary vectorised code. One notebook, so that one kernel starts and imports are paid once.
# %%
import json
import warnings
import matplotlib
matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np
import pandas as pd
from scipy import stats
from scipy.optimize import curve_fit, brentq
from sklearn.ensemble import RandomForestClassifier
from sklearn.impute import SimpleImputer
from sklearn.isotonic import IsotonicRegression
from sklearn.linear_model import LinearRegression, LogisticRegression
from sklearn.metrics import cohen_kappa_score, confusion_matrix, log_loss, roc_auc_score
from sklearn.model_selection import GroupKFold
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler
from sklearn.tree import DecisionTreeClassifier
from IPython.display import display, Markdown, set_matplotlib_formats
warnings.filterwarnings("ignore")
set_matplotlib_formats("svg")
rng = np.random.default_rng(1)
OUTCOMES = ["ferrous", "non-ferrous", "masked-good"]

# %% [markdown]
# ## Loading
# %%
machines = json.load(open("machines.json"))
machine_of = {each["settings"]: each["machine"] for each in machines["settings"]}
silent_iron = {each["settings"]: each["discrimination"] for each in machines["settings"]}
scheme = {each["machine"]: each for each in machines["machines"]}
log = pd.read_csv("dig-log.csv", dtype=str, keep_default_na=False)
log = log[log.dug.isin(["yes", "no", "stopped"]) & ~log.signal_id.duplicated()].reset_index(drop=True)
log["machine"] = log.settings.map(machine_of)
log["arm"] = log.machine + ", " + log.settings.map(silent_iron)
log["iron_break"] = log.machine.map(lambda name: scheme[name]["iron_break"])
display(log.groupby(["dug", "result"]).size().rename("rows").reset_index())

def passes(cells, ids):
    """One row a pass: the number it gave, or nothing."""
    words = cells.str.replace(r"[,;/|]", " ", regex=True).str.split()
    long = pd.DataFrame({"id": ids, "word": words}).explode("word").dropna()
    long["reading"] = pd.to_numeric(long.word, errors="coerce")
    return long[["id", "reading"]]

right, left, cross = (passes(log["readings_" + way], log.index) for way in ["right", "left", "cross"])
both = pd.concat([right.assign(way=1), left.assign(way=-1)])
given = both.dropna()

# %% [markdown]
# ## Features of each signal
# %%
byid = given.groupby("id").reading
f = pd.DataFrame(index=log.index)
f["centre"] = byid.median()
apart = given.reading - given.groupby(["id", "way"]).reading.transform("median")
quartiles = apart.groupby(given.id).quantile([0.25, 0.75]).unstack()
f["spread"] = (quartiles[0.75] - quartiles[0.25]).where(byid.size() >= 4)
med_right, med_left, med_cross = (part.dropna().groupby("id").reading.median() for part in [right, left, cross])
f["asymmetry"] = med_right - med_left
f["turn_change"] = med_cross - f.centre
f["dropout"] = both.reading.isna().groupby(both.id).mean()
f["iron_share"] = (given.reading < log.iron_break.loc[given.id].values).groupby(given.id).mean()
counts = given.groupby(["id", "reading"]).size()
f["best_repeat"] = counts[counts >= 2].reset_index().groupby("id").reading.max()
depth = pd.to_numeric(log.depth_indicated, errors="coerce")
f["depth_cm"] = depth
f["depth_step"] = log.depth_indicated.map({"shallow": 0, "middle": 1, "deep": 2})
for name in ["both_ways", "after_turn", "spot_moves", "iron_near"]:
    f[name] = log[name].map({word: i for i, word in enumerate(sorted(set(log[name]) - {"", "not-tried", "not-looked"}))})
f["own_call"] = log.my_call.map({"iron": 0, "cannot-say": 1, "good": 2})
dug_finds = log[[c for c in log if c.startswith("metal")]]
keeps = log[[c for c in log if c.startswith("keep")]]
alone = passes(log.readings_alone, log.index).dropna().groupby("id").reading.median().reindex(log.index)
iron = dug_finds.eq("ferrous").where(dug_finds != "").fillna(True).all(axis=1)
good = ((keeps == "yes").values & (dug_finds == "non-ferrous").values).any(axis=1)
moved = (alone - f.centre).abs() > 2 * f.spread.median()
near = log.iron_evidence.isin(["touching", "in-plug"])
known = (log.dug == "yes") & (log.result == "found") & (log.metal != "")
log["outcome"] = np.select(
    [log.dug == "no", log.dug == "stopped", log.result == "nothing-found", ~known, iron, good & (moved | (alone.isna() & near))],
    ["not dug", "stopped", "nothing found", "unknown", "ferrous", "masked-good"], "non-ferrous")
display(f.describe())

# %%
def boot(group, times=2000):
    """How often each row's group is drawn, a resample a row."""
    codes, names = pd.factorize(group)
    draws = rng.multinomial(len(names), np.full(len(names), 1 / len(names)), size=times)
    return draws, codes, len(names)

def boot_ratio(top, bottom, group, times=2000):
    draws, codes, k = boot(group, times)
    sums = lambda values: np.bincount(codes, np.asarray(values, float), k)
    shares = (draws @ sums(top)) / np.maximum(draws @ sums(bottom), 1e-12)
    return np.sum(top) / max(np.sum(bottom), 1), *np.quantile(shares, [0.025, 0.975])

def cluster_mean(values, group):
    values, codes = np.asarray(values, float), pd.factorize(group)[0]
    k, mean = codes.max() + 1, np.nanmean(values)
    sums = np.bincount(codes, np.nan_to_num(values - mean), k)
    error = np.sqrt(k / (k - 1) * np.sum(sums**2)) / len(values)
    reach = stats.t.ppf(0.975, k - 1) * error
    return mean, mean - reach, mean + reach

def wilson(x, n):
    z = 1.959964
    if n == 0: return np.nan, np.nan, np.nan
    p = x / n
    middle, half = p + z * z / (2 * n), z * np.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return p, (middle - half) / (1 + z * z / n), (middle + half) / (1 + z * z / n)

# %% [markdown]
# ## What the season held
# %%
dug = log[log.dug == "yes"].copy()
dug["good"] = ((keeps.loc[dug.index] == "yes").values).any(axis=1)
said = log.my_call[log.outcome.isin(OUTCOMES)]
answers = {
    "holes for each good find": boot_ratio(np.ones(len(dug)), dug.good, dug.site),
    "good calls that were not iron": boot_ratio((dug.my_call == "good") & (dug.outcome != "ferrous"), dug.my_call == "good", dug.site),
    "iron calls that were iron": boot_ratio((dug.my_call == "iron") & (dug.outcome == "ferrous"), dug.my_call == "iron", dug.site),
    "left undug": boot_ratio(log.dug == "no", np.ones(len(log)), log.site),
    "finds in a hole": boot_ratio((dug_finds.loc[dug.index] != "").sum(axis=1), np.ones(len(dug)), dug.site),
}
display(pd.DataFrame(answers, index=["estimate", "low", "high"]).T)
by_site = pd.crosstab(log.site, log.outcome)
display(by_site, pd.crosstab(log.date.str[:7], log.outcome), pd.crosstab(log.my_call, log.outcome), pd.crosstab(log.my_call, log.dug))
display(pd.DataFrame([[site, len(part), *wilson(part.good.sum(), len(part))] for site, part in dug.groupby("site")]))
display(pd.concat([log[["signal_id", "site", "date", "machine", "my_call", "dug", "outcome"]], f.centre], axis=1).head(20))
by_site.plot.barh(stacked=True); plt.title("What came of the signals of each site"); plt.show()
for arm, part in log[log.outcome.isin(OUTCOMES)].groupby("arm"):
    fig, axes = plt.subplots(3, 1, sharex=True)
    for ax, outcome in zip(axes, OUTCOMES):
        values = f.centre[part.index][part.outcome == outcome].dropna()
        ax.plot(values, rng.random(len(values)), "."); ax.set_ylabel(outcome)
        for at in scheme[part.machine.iloc[0]]["tones"]["breaks"]: ax.axvline(at, ls="--", lw=0.5)
    fig.suptitle(f"Centres on {arm}"); plt.show()

# %% [markdown]
# ## The garden: drift, drag, half gap
# %%
trials = pd.read_csv("garden-log.csv", dtype=str, keep_default_na=False)
trials["machine"] = trials.settings.map(machine_of)
for name in ["gap_cm", "depth_cm", "target_size_mm", "neighbour_length_mm", "neighbour_tilt_deg"]:
    trials[name] = pd.to_numeric(trials[name], errors="coerce")
tp = pd.concat([passes(trials.readings_right, trials.index).assign(way="right"),
                passes(trials.readings_left, trials.index).assign(way="left")])
centre = tp.dropna().groupby(["id", "way"]).reading.median().rename("reading").reset_index().join(
    trials[["block", "machine", "settings", "target", "neighbour", "depth_cm", "gap_cm", "side", "run_order"]], on="id")
is_none = lambda column: column.isin(["none", ""])
control = ["block", "settings", "depth_cm", "way"]
clean = centre[is_none(centre.neighbour)].groupby(control[:1] + ["settings", "target", "depth_cm", "way"]).reading.mean().rename("clean")
bare = centre[is_none(centre.target)].groupby(["block", "settings", "neighbour", "way"]).reading.mean().rename("bare")
t = centre[~is_none(centre.neighbour) & ~is_none(centre.target)].join(clean, on=clean.index.names).join(bare, on=bare.index.names).dropna()
t["drift"], t["apart"] = t.clean - t.reading, t.clean - t.bare
t["drag"] = t.drift / t.apart
x2 = t.gap_cm**2 + 2 * t.gap_cm
t["x2"] = x2

logistic = lambda x, q, k: 1 / (1 + np.exp(np.clip((x - q) / np.exp(k), -50, 50)))
def fit(part, fixed=None):
    """Pairs of one target share the slope; weights lie on trials near one half; errors over blocks (CR2)."""
    pair, names = pd.factorize(part.neighbour)
    x, apart, y = part.x2.values, part.apart.values, part.drift.values
    def model(rows, *theta): return apart[rows.astype(int)] * logistic(x[rows.astype(int)], np.array(theta[:-1])[pair[rows.astype(int)]], theta[-1])
    def slope(rows, *theta):
        s = logistic(x, np.array(theta[:-1])[pair], theta[-1]); g = s * (1 - s) / np.exp(theta[-1])
        out = np.zeros((len(x), len(theta))); out[np.arange(len(x)), pair] = apart * g
        out[:, -1] = apart * g * (x - np.array(theta[:-1])[pair]); return out
    rows, start = np.arange(len(x)), [30.0] * len(names) + [3.0]
    theta, _ = curve_fit(model, rows, y, p0=start, jac=slope, maxfev=2000)
    s = model(rows, *theta) / apart
    sigma = 1 / np.sqrt(np.maximum(4 * s * (1 - s), 0.1))
    theta, _ = curve_fit(model, rows, y, p0=theta, sigma=sigma, jac=slope, maxfev=2000)
    J, r = slope(rows, *theta) / sigma[:, None], (y - model(rows, *theta)) / sigma
    bread = np.linalg.pinv(J.T @ J); meat = np.zeros_like(bread)
    for block in part.block.unique():
        at = (part.block == block).values
        H = J[at] @ bread @ J[at].T
        w, v = np.linalg.eigh(np.eye(at.sum()) - H)
        score = J[at].T @ (v @ ((1 / np.sqrt(np.maximum(w, 1e-6))) * (v.T @ r[at])))
        meat += np.outer(score, score)
    return names, theta, bread @ meat @ bread

def half_gap(q): return np.sqrt(1 + q) - 1 if q > 0 else np.nan
rows, fits = [], {}
for (machine, target, settings), part in t.groupby(["machine", "target", "settings"]):
    if part.block.nunique() < 4: continue
    names, theta, cov = fits[machine, target, settings] = fit(part)
    reach = stats.t.ppf(0.975, part.block.nunique() - 1) * np.sqrt(np.diag(cov))
    for i, name in enumerate(names):
        rows.append([machine, target, name, half_gap(theta[i]), half_gap(theta[i] - reach[i]), half_gap(theta[i] + reach[i]), part.block[part.neighbour == name].nunique()])
half = pd.DataFrame(rows, columns=["machine", "target", "neighbour", "half gap", "low", "high", "blocks"])
display(half)
local = []
for (machine, target, neighbour), part in t.groupby(["machine", "target", "neighbour"]):
    for gap in sorted(part.gap_cm.unique()):
        near_ = part[(part.gap_cm - gap).abs() <= 1].groupby("block").drift.mean()
        reach = stats.t.ppf(0.975, max(len(near_) - 1, 1)) * near_.sem() if len(near_) > 1 else np.nan
        plain = part[part.gap_cm == gap].groupby("block").drift.mean()
        local.append([machine, target, neighbour, gap, near_.mean(), near_.mean() - reach, near_.mean() + reach, plain.mean(), len(plain)])
display(pd.DataFrame(local))

# %%
grid = np.linspace(0, 16, 100)
for value in ["drift", "drag"]:
    for machine, part in t.groupby("machine"):
        pairs = list(part.groupby(["target", "neighbour"]))
        fig, axes = plt.subplots(1, len(pairs), figsize=(2.5 * len(pairs), 3), sharey=True, squeeze=False)
        for ax, ((target, neighbour), each) in zip(axes[0], pairs):
            for way, mark in [("right", "o"), ("left", "s")]:
                ax.plot(each.gap_cm[each.way == way], each[value][each.way == way], mark, ms=3)
            for (m, tg, st), (names, theta, cov) in fits.items():
                if (m, tg) == (machine, target) and neighbour in names:
                    i = list(names).index(neighbour)
                    s = logistic(grid**2 + 2 * grid, theta[i], theta[-1])
                    ax.plot(grid, s * (each.apart.mean() if value == "drift" else 1))
                    g = s * (1 - s) / np.exp(theta[-1]); e = 2 * g * np.sqrt(cov[i, i]) * (each.apart.mean() if value == "drift" else 1)
                    ax.fill_between(grid, s * (each.apart.mean() if value == "drift" else 1) - e, s * (each.apart.mean() if value == "drift" else 1) + e, alpha=0.3)
            ax.set_title(f"{target}\n{neighbour}", fontsize=7)
        fig.suptitle(f"{value} against gap on {machine}"); plt.show()
plt.errorbar(half["half gap"], np.arange(len(half)), xerr=[(half["half gap"] - half.low).clip(0).fillna(0), (half.high - half["half gap"]).clip(0).fillna(0)], fmt="o")
plt.yticks(np.arange(len(half)), half.target + ", " + half.neighbour); plt.title("Half gaps"); plt.show()

# %% [markdown]
# ### Above the break, comparisons within blocks, rival forms
# %%
above = tp.dropna().join(trials[["block", "machine", "target", "neighbour", "gap_cm"]], on="id")
above["above"] = above.reading >= above.machine.map(lambda m: scheme[m]["iron_break"])
out = []
for (machine, target, neighbour), part in above[~is_none(above.target) & ~is_none(above.neighbour)].groupby(["machine", "target", "neighbour"]):
    alone_ = above[(above.machine == machine) & is_none(above.target) & (above.neighbour == neighbour)].above
    out.append([machine, target, neighbour, *wilson(part.above.sum(), len(part)), *wilson(alone_.sum(), len(alone_))])
    if part.above.nunique() == 2:
        model = LogisticRegression(C=10).fit(part[["gap_cm"]].values, part.above)
        plt.plot(grid, model.predict_proba(grid[:, None])[:, 1], label=f"{target}, {neighbour}")
plt.legend(fontsize=6); plt.title("Share of passes above the break"); plt.show()
display(pd.DataFrame(out))
tests = []
t["by_order"] = (pd.to_numeric(t.run_order) > pd.to_numeric(t.run_order).median()).astype(int)
for by in ["settings", "machine", "side", "way", "by_order"]:
    for (target, neighbour), part in t.groupby(["target", "neighbour"]):
        levels, names = pd.factorize(part[by])
        if len(names) < 2: continue
        pull, blocks = part.drag.values - part.groupby("gap_cm").drag.transform("mean").values, pd.factorize(part.block)[0]
        seen = pull[levels == 0].mean() - pull[levels == 1].mean()
        order = np.argsort(blocks[None, :] + rng.random((5000, len(part))), axis=1)
        base = np.argsort(blocks, kind="stable")
        dealt = np.empty_like(order); dealt[:, base] = levels[order]
        zero = dealt == 0
        diff = (zero @ pull) / np.maximum(zero.sum(1), 1) - ((dealt == 1) @ pull) / np.maximum((dealt == 1).sum(1), 1)
        tests.append([by, target, neighbour, seen, (1 + (np.abs(diff) >= abs(seen)).sum()) / 5001])
display(pd.DataFrame(tests))

forms = {
    "logistic, own slope": (lambda p, q, k: logistic(p.x2.values, q, k), [30, 3]),
    "gap alone": (lambda p, q, k: logistic(p.gap_cm.values**2, q, k), [30, 3]),
    "logistic in the gap": (lambda p, q, k: logistic(p.gap_cm.values, q, k), [5, 0.5]),
    "exponential": (lambda p, a, k: a * np.exp(-p.gap_cm.values / np.exp(k)), [1, 1]),
    "Gaussian": (lambda p, a, k: a * np.exp(-((p.gap_cm.values / np.exp(k)) ** 2)), [1, 1.5]),
}
scores = []
for (machine, target, settings), part in t.groupby(["machine", "target", "settings"]):
    if part.block.nunique() < 4: continue
    for block in part.block.unique():
        learn, test = part[part.block != block], part[part.block == block]
        if not set(test.neighbour) <= set(learn.neighbour): continue
        try: names, theta, _ = fit(learn)
        except RuntimeError: continue
        i = pd.Index(names).get_indexer(test.neighbour)
        scores.append([target, "in use", block, np.abs(test.drift - test.apart * logistic(test.x2.values, theta[:-1][i], theta[-1])).mean()])
        for form, (curve, start) in forms.items():
            error = []
            for neighbour, own in learn.groupby("neighbour"):
                mine = test[test.neighbour == neighbour]
                if len(mine) == 0: continue
                try: theta, _ = curve_fit(lambda rows, *th: own.apart.values * curve(own, *th), np.arange(len(own)), own.drift.values, p0=start, maxfev=2000)
                except RuntimeError: theta = start
                error.append(np.abs(mine.drift - mine.apart * curve(mine, *theta)))
            scores.append([target, form, block, pd.concat(error).mean()])
        error = []
        for neighbour, own in learn.groupby("neighbour"):
            mine = test[test.neighbour == neighbour]
            if len(mine) == 0: continue
            falls = IsotonicRegression(increasing=False, out_of_bounds="clip").fit(own.gap_cm, own.drag, sample_weight=own.apart**2)
            error.append(np.abs(mine.drift - mine.apart * falls.predict(mine.gap_cm)))
        scores.append([target, "falling", block, pd.concat(error).mean()])
scores = pd.DataFrame(scores, columns=["target", "form", "block", "error"])
wide = scores.pivot_table(index=["target", "block"], columns="form", values="error")
display(scores.groupby(["target", "form"]).error.agg(["mean", "sem", "size"]), wide.sub(wide["in use"], axis=0).groupby("target").agg(["mean", "sem"]))
for machine, part in t.groupby("machine"):
    plt.plot(part.gap_cm, part.drift - part.groupby(["target", "neighbour", "gap_cm"]).drift.transform("mean"), "."); plt.title(f"Left over, {machine}"); plt.show()
    plt.plot(part.x2, part.drag, "."); plt.title(f"All pairs on one scale, {machine}"); plt.show()

# %% [markdown]
# ## Tones
# %%
def band(reading, breaks): return np.searchsorted(breaks, reading, side="right")
trial_centre = tp.dropna().groupby("id").reading.median().reindex(trials.index)
trials["centre"] = trial_centre
clean_t = trials[is_none(trials.neighbour) & ~is_none(trials.target)].groupby(["settings", "target", "depth_cm"]).centre.median().rename("clean")
tt = trials[~is_none(trials.neighbour) & ~is_none(trials.target)].join(clean_t, on=clean_t.index.names).dropna(subset=["clean", "centre"])
for arm, part in tt.groupby("settings"):
    breaks = scheme[part.machine.iloc[0]]["tones"]["breaks"]
    a, b = band(part.clean, breaks), band(part.centre, breaks)
    fig, ax = plt.subplots(); ax.plot(part.centre, pd.factorize(part.target)[0], "."); [ax.axvline(x, ls="--") for x in breaks]; ax.set_title(f"Ladder, {arm}"); plt.show()
    table = pd.crosstab([part.target, pd.cut(part.gap_cm, [-1, 2, 4, 8, 99])], b)
    fig, ax = plt.subplots(); ax.imshow(table.values); ax.set_yticks(range(len(table)), [str(x) for x in table.index], fontsize=6)
    for (i, j), n in np.ndenumerate(table.values): ax.text(j, i, n, fontsize=6)
    ax.set_title(f"Where targets sound, {arm}"); plt.show()
    for classes in pd.cut(part.gap_cm, [-1, 2, 4, 8, 99]).groupby(pd.cut(part.gap_cm, [-1, 2, 4, 8, 99])).groups.values():
        at = part.index.get_indexer(classes)
        if len(at) == 0: continue
        for value in [a[at] - b[at], a[at] > b[at], b[at] == 0]: boot_ratio(value.astype(float), np.ones(len(at)), part.block.values[at], 1000)
    draws, codes, k = boot(part.block, 500)
    kappas = []
    for weights in draws:
        w = weights[codes]
        kappas.append(cohen_kappa_score(a, b, sample_weight=w) if w.sum() > 0 else np.nan)
    boot_ratio((a == b).astype(float), np.ones(len(a)), part.block, 500)
    display(pd.DataFrame(confusion_matrix(a, b)), Markdown(f"{arm}: kappa {cohen_kappa_score(a, b):.2f}, {np.nanquantile(kappas, [0.025, 0.975])}"))

k_out = log[log.outcome.isin(OUTCOMES)].join(f.centre).dropna(subset=["centre"])
invented = lambda m: {"own": m["tones"]["breaks"], "one": [], "two": [m["iron_break"]],
    "four": list(np.linspace(m["scale"]["low"], m["scale"]["high"], 5)[1:-1]), "seven": list(np.linspace(m["scale"]["low"], m["scale"]["high"], 8)[1:-1]), "sliding": [m["iron_break"]]}
rows = []
for arm, part in k_out.groupby("arm"):
    machine = scheme[part.machine.iloc[0]]
    b = band(part.centre, machine["tones"]["breaks"])
    table = pd.crosstab(part.outcome, b); everything = pd.crosstab(log.outcome[log.arm == arm], band(f.centre[log.arm == arm].fillna(-1e9), machine["tones"]["breaks"]))
    cells = [[*i, *wilson(n, table.values[i[0]].sum())] for i, n in np.ndenumerate(table.values)]
    fig, ax = plt.subplots(); ax.imshow(everything.values); ax.set_yticks(range(len(everything)), everything.index)
    for (i, j), n in np.ndenumerate(everything.values): ax.text(j, i, n)
    ax.set_title(f"Outcome by tone, {arm}"); plt.show(); display(table, pd.DataFrame(cells))
    for outcome in OUTCOMES:
        at = (part.outcome == outcome).values
        rows.append([arm, "above the break", outcome, *boot_ratio(at & (part.centre >= machine["iron_break"]), at, part.site, 1000)])
    mine = band(part.centre, machine["tones"]["breaks"]) > 0
    for name, breaks in invented(machine).items():
        heard = band(part.centre, breaks) > 0 if len(breaks) else np.ones(len(part), bool)
        for outcome in ["ferrous", "masked-good"]:
            at = (part.outcome == outcome).values
            rows.append([arm, name, outcome, *boot_ratio(at & heard, at, part.site, 1000)])
            rows.append([arm, name + " less own", outcome, *boot_ratio(at * (heard.astype(float) - mine), at, part.site, 1000)])
            b01, b10 = (at & heard & ~mine).sum(), (at & ~heard & mine).sum()
            rows.append([arm, name, "McNemar", stats.binom_test(b01, b01 + b10) if b01 + b10 else np.nan, np.nan, np.nan])
    # one break, exactly, and on sites left out
    steps = np.arange(machine["scale"]["low"], machine["scale"]["high"] + 1, machine["scale"]["step"])
    isgood = (part.outcome != "ferrous").values
    def costs(c, g): return 4 * np.searchsorted(np.sort(c[g]), steps) + ((~g).sum() - np.searchsorted(np.sort(c[~g]), steps))
    c = part.centre.values; cost = costs(c, isgood)
    fig, ax = plt.subplots(); ax.plot(steps, cost); ax.set_title(f"What one break would cost, {arm}"); plt.show()
    gain = np.zeros(len(part)); own = c >= machine["iron_break"]
    for site in part.site.unique():
        test = (part.site == site).values
        chosen = steps[np.argmin(costs(c[~test], isgood[~test]))]
        dig = c >= chosen
        gain[test] = ((4 * (isgood & ~own) + (~isgood & own)) - (4 * (isgood & ~dig) + (~isgood & dig)))[test]
    rows.append([arm, "gain on unseen sites", "all", *boot_ratio(gain, np.ones(len(gain)), part.site, 1000)])
    draws, codes, k = boot(part.site, 1000)
    best = []
    for weights in draws:
        at = np.repeat(np.arange(len(c)), weights[codes])
        best.append(steps[np.argmin(costs(c[at], isgood[at]))])
    rows.append([arm, "lowest break", "all", steps[np.argmin(cost)], *np.quantile(best, [0.025, 0.975])])
heard_tone = log[(log.tone_heard != "") & f.centre.notna()]
for machine, part in heard_tone.groupby("machine"):
    names = [each["name"] for each in scheme[machine]["tones"]["bands"]]
    said = part.tone_heard.map({n: i for i, n in enumerate(names)}); ok = said.notna()
    b = band(f.centre[part.index][ok], scheme[machine]["tones"]["breaks"]); said = said[ok].astype(int).values
    draws, codes, k = boot(part.site[ok], 500)
    kappas = [cohen_kappa_score(said, b, sample_weight=w[codes]) for w in draws]
    display(pd.crosstab(said, b)); rows.append([machine, "heard against read", "kappa", cohen_kappa_score(said, b), *np.nanquantile(kappas, [0.025, 0.975])])
display(pd.DataFrame(rows))

# %% [markdown]
# ## The personal model
# %%
def auc(a, b): return stats.mannwhitneyu(a, b).statistic / (len(a) * len(b)) if len(a) and len(b) else np.nan
READING = ["centre", "spread", "asymmetry", "turn_change", "dropout", "iron_share", "best_repeat", "depth_cm", "depth_step", "both_ways", "after_turn", "spot_moves", "iron_near"]
floor = lambda p, n: (n * p + 1) / (n + 3)
model_rows, coefficient_rows, feature_rows, rule_rows, predictions = [], [], [], [], []
studies = [(arm, part.index) for arm, part in log[log.outcome.isin(OUTCOMES)].groupby("arm") if part.site.nunique() >= 4]
for arm, at in studies:
    y = log.outcome[at].map({name: i for i, name in enumerate(OUTCOMES)}).values
    site = log.site[at].values
    # one feature at a time: medians with bootstrap by site, and the chance that one kind has the higher value
    shown = ["centre", "spread", "asymmetry", "turn_change", "dropout", "depth_cm", "depth_step"]
    chances = []
    for name in shown:
        v = f[name][at].values.astype(float)
        groups = [v[(y == i) & ~np.isnan(v)] for i in range(3)]
        if sum(map(len, groups)) == 0: continue
        for i in range(3):
            ok = (y == i) & ~np.isnan(v)
            if ok.sum() < 5: continue
            draws, codes, k = boot(site[ok], 400)
            meds = [np.median(np.repeat(v[ok], w[codes])) if w.sum() else np.nan for w in draws]
            feature_rows.append([arm, name, OUTCOMES[i], np.median(v[ok]), *np.nanquantile(meds, [0.025, 0.975])])
        for i, j in [(1, 0), (2, 0), (2, 1)]:
            whole = auc(groups[i], groups[j])
            left_out = [auc(v[(y == i) & (site != s) & ~np.isnan(v)], v[(y == j) & (site != s) & ~np.isnan(v)]) for s in np.unique(site)]
            error = np.sqrt((len(left_out) - 1) / len(left_out) * np.nansum((np.array(left_out) - np.nanmean(left_out)) ** 2))
            chances.append([f"{name}: {OUTCOMES[i]} over {OUTCOMES[j]}", whole, 2 * error])
        fig, ax = plt.subplots(figsize=(5, 2)); ax.boxplot(groups, vert=False); [ax.plot(g, 1 + i + 0.2 * rng.random(len(g)), ".", ms=2) for i, g in enumerate(groups)]; ax.set_title(f"{name}, {arm}"); plt.show()
    c = pd.DataFrame(chances)
    plt.errorbar(c[1], range(len(c)), xerr=c[2], fmt="o"); plt.yticks(range(len(c)), c[0], fontsize=6); plt.axvline(0.5); plt.title(f"What each feature says, {arm}"); plt.show()
    display(c)
    # engines on sites they had not seen
    X = f.loc[at, READING].values.astype(float); Xc = f.loc[at, READING + ["own_call"]].values.astype(float)
    keep = ~np.isnan(X).all(axis=0); X = X[:, keep]; Xc = Xc[:, np.append(keep, True)]
    machine = scheme[log.machine[at[0]]]
    folds = list(GroupKFold(min(10, len(np.unique(site)))).split(X, y, site))
    linear = lambda: make_pipeline(SimpleImputer(add_indicator=True), StandardScaler(), LogisticRegression(C=1.0, max_iter=500))
    engines = {
        "base rates": None, "own call": ("table", f.own_call[at].fillna(-1).values),
        "tone rule": ("table", band(f.centre[at].fillna(-1e9), [machine["iron_break"]])), "tone band": ("table", band(f.centre[at].fillna(-1e9), machine["tones"]["breaks"])),
        "step rule": ("table", np.digitize(f.centre[at].fillna(0) - f.centre[at].groupby(site).transform("min").fillna(0), [machine["scale"]["step"] * 10, machine["scale"]["step"] * 100])),
        "logistic": (linear, X), "logistic and own call": (linear, Xc),
        "single tree": (lambda: make_pipeline(SimpleImputer(strategy="constant", fill_value=-999), DecisionTreeClassifier(max_depth=4, min_samples_leaf=3, random_state=1)), X),
        "forest": (lambda: make_pipeline(SimpleImputer(strategy="constant", fill_value=-999), RandomForestClassifier(200, min_samples_leaf=3, random_state=1, n_jobs=-1)), X),
        "second opinion": (lambda: make_pipeline(SimpleImputer(strategy="constant", fill_value=-999), RandomForestClassifier(10, random_state=1)), X),
    }
    losses, probabilities = {}, {}
    for name, engine in engines.items():
        p = np.zeros((len(y), 3))
        for learn, test in folds:
            if engine is None: p[test] = np.bincount(y[learn], minlength=3) / len(learn)
            elif engine[0] == "table":
                table = pd.crosstab(engine[1][learn], y[learn], normalize="index").reindex(columns=range(3), fill_value=0)
                p[test] = table.reindex(engine[1][test]).fillna(1 / 3).values
            else:
                rows_ = rng.choice(learn, 80, replace=False) if name == "second opinion" and len(learn) > 80 else learn
                model = engine[0]().fit(engine[1][rows_], y[rows_])
                p[np.ix_(test, model.classes_)] = model.predict_proba(engine[1][test])
            p[test] = floor(p[test], len(learn))
        probabilities[name], losses[name] = p, -np.log(p[np.arange(len(y)), y])
        hit = p.argmax(1)
        worth = p[:, 1:].sum(1)
        row = [arm, name, *cluster_mean(losses[name], site), *cluster_mean(((p - np.eye(3)[y]) ** 2).sum(1), site), *cluster_mean(hit == y, site)]
        for truth, score in [(y > 0, worth), (y == 2, p[:, 2])]:
            left_out = [roc_auc_score(truth[site != s], score[site != s]) for s in np.unique(site)]
            row += [roc_auc_score(truth, score), np.std(left_out) * np.sqrt(len(left_out))]
        for i in range(3): row += [*cluster_mean((hit == i)[y == i], site[y == i])[:1], *(cluster_mean((y == i)[hit == i], site[hit == i])[:1] if (hit == i).sum() > 2 else [np.nan])]
        model_rows.append(row)
        predictions.append(pd.DataFrame(p, columns=OUTCOMES).assign(engine=name, signal=log.signal_id[at].values))
    best = min(losses, key=lambda name: losses[name].mean())
    differences = {name: cluster_mean(loss - losses[best], site) for name, loss in losses.items()}
    d = pd.DataFrame(differences, index=["mean", "low", "high"]).T; display(d)
    plt.errorbar(d["mean"], range(len(d)), xerr=d["high"] - d["mean"], fmt="o"); plt.yticks(range(len(d)), d.index); plt.title(f"Above the best, {arm}"); plt.show()
    m = pd.DataFrame([r[1:5] for r in model_rows if r[0] == arm])
    plt.errorbar(m[1], range(len(m)), xerr=m[3] - m[1], fmt="o"); plt.yticks(range(len(m)), m[0]); plt.title(f"Log loss, {arm}"); plt.show()
    p = probabilities[best]
    table = confusion_matrix(y, p.argmax(1)); fig, ax = plt.subplots(); ax.imshow(table); [ax.text(j, i, n) for (i, j), n in np.ndenumerate(table)]; ax.set_title(f"Confusion, {arm}"); plt.show()
    worth = p[:, 1:].sum(1); cut = pd.qcut(worth, 8, duplicates="drop")
    plt.plot([0, 1], [0, 1], "--"); plt.plot(pd.Series(worth).groupby(cut).mean(), pd.Series(y > 0).groupby(cut).mean(), "o"); plt.title(f"Calibration, {arm}"); plt.show()
    display(pd.DataFrame({"given": worth, "came": y > 0}).groupby(cut).agg(["mean", "size"]))
    worst = np.argsort(-losses[best])[:10]; display(log.loc[at[worst], ["signal_id", "readings_right", "readings_left", "outcome"]])
    # what the forest relies on: each feature, and three groups, shuffled on unseen sites
    repeats, trees = (1, 40) if len(y) > 1000 else (5, 100)
    kept = [name for name, ok in zip(READING, keep) if ok]
    groups = {name: [i] for i, name in enumerate(kept)}
    for label, members in {"level": ["centre", "iron_share", "best_repeat"], "scatter": ["spread", "asymmetry", "turn_change", "dropout"], "depth": ["depth_cm", "depth_step"]}.items():
        groups[label] = [kept.index(name) for name in members if name in kept]
    growth = {name: np.zeros(len(y)) for name in groups}
    filled = np.where(np.isnan(X), -999, X)
    for learn, test in folds:
        model = RandomForestClassifier(trees, min_samples_leaf=3, random_state=1, n_jobs=-1).fit(filled[learn], y[learn])
        n = len(learn); pick = (np.arange(len(test)), y[test])
        plain = floor(model.predict_proba(filled[test]), n)[pick]
        stacked, names = [], []
        for name, columns in groups.items():
            for _ in range(repeats):
                blind = filled[test].copy(); blind[:, columns] = blind[rng.permutation(len(test))][:, columns]
                stacked.append(blind); names.append(name)
        # one call for all shuffles, which is how one would make it fast
        all_ = floor(model.predict_proba(np.vstack(stacked)), n).reshape(len(names), len(test), 3)
        for name, blind in zip(names, all_): growth[name][test] += np.log(plain / blind[pick]) / repeats
    imp = pd.DataFrame({name: cluster_mean(value, site) for name, value in growth.items()}, index=["mean", "low", "high"]).T
    plt.errorbar(imp["mean"], range(len(imp)), xerr=imp["high"] - imp["mean"], fmt="o"); plt.yticks(range(len(imp)), imp.index); plt.title(f"What the forest relies on, {arm}"); plt.show(); display(imp)
    # what the logistic model weighs, errors over sites
    pipe = linear().fit(X, y); Z = pipe[:-1].transform(X); P = pipe.predict_proba(X)
    Z1 = np.column_stack([np.ones(len(Z)), Z]); k = Z1.shape[1]
    H = np.zeros((2 * k, 2 * k)); R = (np.eye(3)[y] - P)[:, 1:]
    for a in range(2):
        for b in range(2):
            w = P[:, a + 1] * ((a == b) - P[:, b + 1]); H[a * k:(a + 1) * k, b * k:(b + 1) * k] = Z1.T @ (Z1 * w[:, None])
    H += np.eye(2 * k); bread = np.linalg.inv(H)
    S = np.stack([np.concatenate([Z1[site == s].T @ R[site == s, a] for a in range(2)]) for s in np.unique(site)])
    error = np.sqrt(np.diag(bread @ (S.T @ S) @ bread))
    for a, outcome in [(1, "non-ferrous"), (2, "masked-good")]:
        coef = pipe[-1].coef_[a] - pipe[-1].coef_[0]
        plt.errorbar(coef, range(len(coef)), xerr=2 * error[(a - 1) * k + 1:(a - 1) * k + 1 + len(coef)], fmt="o"); plt.title(f"{outcome} against ferrous, {arm}"); plt.show()
        coefficient_rows.append([arm, outcome, *coef])
    goods = ((keeps.loc[at] == "yes").values).any(axis=1)
    rules = {"dig all": np.ones(len(y), bool), "own call": f.own_call[at].values == 2, "tone": f.centre[at].values >= machine["iron_break"],
        **{f"model, worth {w}": worth >= 1 / w for w in (3, 5, 10)}}
    for rule, dig in rules.items():
        rule_rows.append([arm, rule, dig.sum(), (goods & dig).sum(), *boot_ratio(dig.astype(float), (goods & dig).astype(float), site, 100), *cluster_mean(~dig, site), *cluster_mean((~dig)[goods], site[goods])])
# the dug against those passed by
for arm, part in log.groupby("arm"):
    for name in ["centre", "spread", "asymmetry", "dropout", "depth_cm", "own_call"]:
        v = f[name][part.index]; d = (part.dug != "no").values
        sites = part.site.values
        left_out = [auc(v[d & (sites != s)].dropna(), v[~d & (sites != s)].dropna()) for s in np.unique(sites)]
        feature_rows.append([arm, name, "dug over passed", auc(v[d].dropna(), v[~d].dropna()), np.nanmin(left_out), np.nanmax(left_out)])
for rows in [model_rows, feature_rows, rule_rows, coefficient_rows]: display(pd.DataFrame(rows))
pd.concat(predictions).to_csv("predictions.csv", index=False)
print("studies", len(studies), "signals", len(log), "trials", len(trials), "half gaps", len(half))
