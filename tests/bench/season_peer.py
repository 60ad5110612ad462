# %% [markdown]
# A season's write-up by pandas, scikit-learn, scipy and matplotlib: what the project's first four notebooks compute, cell by
# cell, with as many folds, trees, repeats, resamples, draws and grid points, as many figures, tables and sounds, in ordinary
# vectorised code; two processes share the models. One notebook, so that one kernel starts and imports are paid once. The first
# line of each cell says which notebook's cell it stands for, and its sizes. What differs, and why:
#
# - Forests and trees are scikit-learn's (blanks filled below all others); half of the features are tried at a split, as in ours.
# - Learning from all other sites is the cross-validation itself, and is not fitted again (ours fits it again).
# - Curves of the garden with a block left out are fitted once for rival forms and the additive model (ours: for each).
# - The drag curve takes clean and bare readings as known (ours fits them too), with no allowance for the error of its form.
# - Loudness in the last figure of the garden is as fitted (ours: from the physics of the sizes logged).
# - The second opinion is ten trees of the same library on 80 signals (ours: of another library).
# - Chances are corrected by a temperature alone: for logs of this size ours does not use its rising curves either.
# - Tables are as pandas shows them; no sentences state the numbers, no page is checked for leaks, no log is written anew.
# - What the physics of the last notebook simulates is left out.
# %%
import json
import os
import warnings
os.environ["OPENBLAS_NUM_THREADS"] = "1" # on matrices as small as these, threads cost more than they bring
from functools import lru_cache
from itertools import combinations
from math import comb
import matplotlib.pyplot as plt
import numpy as np
import pandas as pd
from joblib import Parallel, delayed
from scipy import stats
from scipy.optimize import leastsq, minimize_scalar
from scipy.special import expit
from sklearn.ensemble import RandomForestClassifier
from sklearn.isotonic import IsotonicRegression
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import GroupKFold
from sklearn.tree import DecisionTreeClassifier, export_text
from IPython.display import Audio, Markdown, display
warnings.filterwarnings("ignore")
rng = np.random.default_rng(1)
OUTCOMES = ["ferrous", "non-ferrous", "masked-good"]

# %%
# Means and shares with intervals
@lru_cache(None)
def t_of(df, level=0.95): return stats.t.ppf((1 + level) / 2, df)

def by_site(above, below, site, level=0.95, share=False):
    """A ratio of sums whose error comes from whole sites, with Student's t; a share on the logit scale."""
    above, below = np.asarray(above, float), np.broadcast_to(np.asarray(below, float), np.shape(above))
    there = (above != 0) | (below != 0)
    codes = pd.factorize(np.asarray(site)[there])[0]
    a, b = np.bincount(codes, above[there]), np.bincount(codes, below[there])
    k, total = len(a), b.sum()
    if not total > 0 or k < 2: return np.nan, np.nan, np.nan
    value = a.sum() / total
    reach = t_of(k - 1, level) * np.sqrt(k / (k - 1) * np.sum((a - value * b) ** 2)) / total
    if not share: return value, value - reach, value + reach
    if reach < 1e-12 or not 0 < value < 1:
        n = total**2 / np.sum(b**2)
        return wilson(value * n, n)
    logit = np.log(value / (1 - value)); half = reach / (value * (1 - value))
    return value, expit(logit - half), expit(logit + half)

def wilson(x, n):
    if n == 0: return np.nan, np.nan, np.nan
    z, p = 1.959964, x / n
    middle, half = p + z * z / (2 * n), z * np.sqrt(max(p * (1 - p), 0) / n + z * z / (4 * n * n))
    return p, (middle - half) / (1 + z * z / n), (middle + half) / (1 + z * z / n)

def wilsons(counts, rows):
    """Every cell of a table with its share of the row."""
    return pd.DataFrame([[rows[i], j, n, *wilson(n, counts[i].sum())] for (i, j), n in np.ndenumerate(counts)])

ratio = lambda sums: sums[..., 0] / sums[..., 1]
def boot(parts, group, statistic=ratio, times=1000):
    """A statistic of sums (the last axis of `sums`), with an interval from whole groups drawn anew."""
    codes = pd.factorize(np.asarray(group))[0]
    k = codes.max() + 1 if len(codes) else 0
    if k == 0: return np.nan, np.nan, np.nan
    sums = np.stack([np.bincount(codes, np.asarray(part, float), k) for part in parts], axis=1)
    value = statistic(sums.sum(axis=0))
    if k < 5: return value, np.nan, np.nan
    found = statistic(rng.multinomial(k, np.full(k, 1 / k), size=times) @ sums)
    found = found[~np.isnan(found).reshape(times, -1).any(axis=1)]
    return (value, *np.quantile(found, [0.025, 0.975], axis=0)) if len(found) else (value, np.nan, np.nan)

share_boot = lambda hit, group, times=1000: boot([hit, np.ones(len(hit))], group, times=times)

def separation(values, kind, site):
    """The chance that a case of kind 1 lies above one of kind 0, with its error from whole sites (by placements, logit scale)."""
    values, kind, site = (np.asarray(each) for each in (values, kind, site))
    there = ~np.isnan(values) & (kind >= 0)
    values, kind, codes = values[there], kind[there] == 1, pd.factorize(site[there])[0]
    m, n = kind.sum(), (~kind).sum()
    if m == 0 or n == 0 or codes.max() < 1 or np.ptp(values) == 0: return np.nan, np.nan, np.nan
    ranks = stats.rankdata(values)
    place = np.empty(len(values))
    place[kind] = (ranks[kind] - stats.rankdata(values[kind])) / n
    place[~kind] = 1 - (ranks[~kind] - stats.rankdata(values[~kind])) / m
    value = place[kind].mean()
    pulls = np.bincount(codes, (place - value) / np.where(kind, m, n))
    if not 0 < value < 1: return value, np.nan, np.nan
    half = t_of(len(pulls) - 1) * np.sqrt(len(pulls) / (len(pulls) - 1) * np.sum(pulls**2)) / (value * (1 - value))
    logit = np.log(value / (1 - value))
    return value, expit(logit - half), expit(logit + half)

def firth(X, y, cluster=None):
    """Logistic regression with Firth's penalty; with clusters, a covariance robust to them."""
    X = np.column_stack([np.ones(len(X)), X]); beta = np.zeros(X.shape[1])
    for _ in range(100):
        p = expit(X @ beta); w = p * (1 - p)
        inverse = np.linalg.pinv(X.T @ (X * w[:, None]))
        leverage = w * np.einsum("ij,jk,ik->i", X, inverse, X)
        score = X * (y - p + leverage * (0.5 - p))[:, None]
        step = inverse @ score.sum(axis=0)
        beta += step / max(1, np.abs(step).max() / 5)
        if np.abs(step).max() < 1e-8: break
    if cluster is None: return beta
    codes = pd.factorize(cluster)[0]; k = codes.max() + 1
    scores = np.stack([np.bincount(codes, column, k) for column in score.T], axis=1)
    return beta, inverse @ (scores.T @ scores) @ inverse * k / (k - 1), k

# Drawings that stand more than once
def bars(table, title, line=None):
    """Estimates with intervals, a row each."""
    values = table.iloc[:, :3].astype(float).values
    reach = np.abs(np.nan_to_num(values[:, 1:] - values[:, :1])).T
    fig, ax = plt.subplots(figsize=(6, 0.8 + 0.25 * len(table)))
    ax.errorbar(values[:, 0], range(len(table)), xerr=reach, fmt="o")
    ax.set_yticks(range(len(table)), [str(name) for name in table.index], fontsize=7)
    if line is not None: ax.axvline(line, ls="--", lw=0.7)
    ax.set_title(title); plt.show()

def heat(counts, rows, columns, title):
    fig, ax = plt.subplots(figsize=(5, 0.8 + 0.35 * len(rows)))
    ax.imshow(counts, aspect="auto", cmap="Greys")
    ax.set_yticks(range(len(rows)), rows, fontsize=7); ax.set_xticks(range(len(columns)), columns, fontsize=7)
    share = counts / np.maximum(counts.sum(axis=1, keepdims=True), 1)
    for (i, j), n in np.ndenumerate(counts): ax.text(j, i, f"{n:.0f} ({share[i, j]:.0%})", ha="center", fontsize=6)
    ax.set_title(title); plt.show()

estimates = lambda rows: pd.DataFrame(rows, index=["estimate", "low", "high"]).T

# %% [markdown]
# ## Loading: rows held against the rules of the log, outcomes derived, features of each signal
# %%
# 1-3: rows held against the rules (ours loads before its notebooks), outcomes, features; noise of 4,000 draws for each number
# of passes
machines = json.load(open("machines.json"))
scheme = {each["machine"]: each for each in machines["machines"]}
settings_of = pd.DataFrame(machines["settings"]).set_index("settings")
WORDS = {"dug": "yes no stopped", "result": "found nothing-found not-identified", "both_ways": "yes no not-tried",
    "after_turn": "holds changes gone not-tried", "iron_near": "none some full not-looked", "my_call": "good iron cannot-say",
    "iron_evidence": "touching in-plug in-hole stain none not-looked"}
FINDS = ["", "_2", "_3"]

def accepted(table, key, words, numbers):
    """The rows that break no rule, and how often each rule is broken."""
    broken = {f"{key} stands twice": table[key].duplicated(), "settings not described": ~table.settings.isin(settings_of.index)}
    for name, allowed in words.items(): broken[f"{name}: not a word of the log"] = ~table[name].isin(["", *allowed.split()])
    for name in numbers:
        broken[f"{name}: not a number"] = pd.to_numeric(table[name], errors="coerce").isna() & (table[name] != "")
    broken = pd.DataFrame(broken)
    display(pd.DataFrame({"accepted": [(~broken.any(axis=1)).sum()], "rejected": [broken.any(axis=1).sum()]}),
        broken.sum().rename("rows").to_frame())
    return table[~broken.any(axis=1)].reset_index(drop=True)

log = pd.read_csv("dig-log.csv", dtype=str, keep_default_na=False)
log = accepted(log, "signal_id", {**WORDS, **{"metal" + k: "ferrous non-ferrous both not-sure" for k in FINDS},
    **{"keep" + k: "yes no hazard" for k in FINDS}}, ["depth_cm"])
log["machine"] = log.settings.map(settings_of.machine)
log["arm"] = log.machine + ", " + log.settings.map(settings_of.discrimination)
log["site_code"] = pd.factorize(log.site, sort=True)[0]
log["month"] = log.date.str[:7]

RANGE = r"^(-?\d+(?:\.\d+)?)-(-?\d+(?:\.\d+)?)$"
def passes(cells):
    """A row a pass: the number that it gave, or nothing; of a range its two ends, which are no single passes."""
    long = cells.str.split().explode().dropna().rename("word").rename_axis("id").reset_index()
    long["reading"] = pd.to_numeric(long.word, errors="coerce")
    ends = long.word.str.extract(RANGE).astype(float)
    held = ends[0].notna()
    long["single"] = ~held
    both = long[held].assign(reading=ends[1][held])
    long.loc[held, "reading"] = ends[0][held]
    return pd.concat([long, both])[["id", "reading", "single"]]

def padded(part, n):
    """The numbers of single passes, a row a signal, blank to the right."""
    given = part[part.single].dropna().sort_values("id", kind="stable")
    at = given.groupby("id").cumcount().values
    out = np.full((n, at.max() + 1 if len(at) else 1), np.nan)
    out[given.id.values, at] = given.reading.values
    return out

n = len(log)
ways = {way: passes(log["readings_" + way]) for way in ["right", "left", "cross"]}
both_ways = pd.concat([ways["right"].assign(way=0), ways["left"].assign(way=1)])
given = both_ways.dropna()
byid = given.groupby("id").reading
R, L, C = (padded(ways[way], n) for way in ["right", "left", "cross"])
f = pd.DataFrame(index=log.index)
f["centre"] = byid.median()

# Outcomes: what a find kept reads by itself, against the reading before the dig and the machine's own repeats
found = [{"metal": log["metal" + k], "keep": log["keep" + k], "alone": passes(log["readings_alone" + k])} for k in FINDS]
alone = pd.concat([each["alone"].assign(find=k) for k, each in enumerate(found)]).dropna()
cell = alone.groupby(["find", "id"]).reading
alone["squares"] = (alone.reading - cell.transform("mean")) ** 2
repeats = alone.assign(machine=log.machine.loc[alone.id].values,
    cell=alone.find * n + alone.id).groupby("machine").agg(squares=("squares", "sum"), n=("squares", "size"),
    cells=("cell", "nunique"))
limit = log.machine.map((2.8 * np.sqrt(repeats.squares / (repeats.n - repeats.cells))).clip(
    lower=pd.Series({name: each["scale"]["step"] for name, each in scheme.items()})))
silent_before = f.centre.isna() & both_ways.groupby("id").size().reindex(log.index).notna()
medians = cell.median()
moved, same, good_finds, other, unsure, all_iron, hazard = (pd.Series(start, log.index)
    for start in [False, 0, 0, 0, False, True, log.stopped_why == "hazard"])
for k, each in enumerate(found):
    not_iron = each["metal"].isin(["non-ferrous", "both"]); good = not_iron & (each["keep"] == "yes")
    by_itself = (medians.loc[k] if k in medians.index.get_level_values(0) else pd.Series(dtype=float)).reindex(log.index)
    read = good & by_itself.notna()
    differs = read & (silent_before | ((by_itself - f.centre).abs() > limit))
    moved |= differs; same += read & ~differs; good_finds += good; other += not_iron; hazard |= each["keep"] == "hazard"
    unsure |= (each["metal"] == "not-sure") & (each["keep"] != "no")
    all_iron &= each["metal"].isin(["ferrous", ""])
close = log.iron_evidence.isin(["touching", "in-plug"])
log["outcome"] = np.select([log.dug == "no", hazard, log.dug == "stopped", log.result == "nothing-found",
    (log.result != "found") | (log.metal == ""), all_iron, moved, (same > 0) & (same == good_finds), (good_finds > same) & close,
    unsure, other > 0], ["not-dug", "hazard", "stopped", "nothing-found", "unknown", "ferrous", "masked-good", "non-ferrous",
    "masked-good", "unknown", "non-ferrous"], "unknown")
log["grade"] = np.where(log.outcome.isin(OUTCOMES), np.where(~all_iron & (moved | (same > 0)), "measured", "by evidence"), "")
log["known"] = log.outcome.isin(OUTCOMES)
log["good_finds"] = good_finds
log["finds"] = sum((each["metal"] != "").astype(int) for each in found)

# Features of each signal; spreads are divided by what noise of as many passes shows, differences are beyond the scatter of the
# passes
machine_column = lambda key: log.machine.map(lambda name: scheme[name][key])
iron_break = machine_column("iron_break")
counts = np.stack([(~np.isnan(R)).sum(axis=1), (~np.isnan(L)).sum(axis=1)], axis=1)
apart = given[given.single].copy()
apart["reading"] -= apart.groupby(["id", "way"]).reading.transform("median")
quartiles = apart.groupby("id").reading.quantile([0.25, 0.75]).unstack()
spread = (quartiles[0.75] - quartiles[0.25]).reindex(log.index).where(counts.sum(axis=1) >= 4)
def noise_of(sizes, times=4000):
    parts = [rng.standard_normal((times, size)) for size in sizes if size]
    return np.subtract(*np.quantile(np.hstack([part - np.median(part, axis=1, keepdims=True) for part in parts]), [0.75, 0.25],
        axis=1)).mean()
sizes, which = np.unique(np.sort(np.minimum(counts, 16), axis=1), axis=0, return_inverse=True)
f["spread"] = spread / np.array([noise_of(pair) if pair.sum() >= 4 else np.nan for pair in sizes])[which]

def mean_distance(a, b, own=False):
    """The mean distance between the passes of one way and of another (of one way: between two of its passes)."""
    distances = np.abs(a[:, :, None] - b[:, None, :])
    if not own: return np.nanmean(distances, axis=(1, 2))
    k = (~np.isnan(a)).sum(axis=1)
    return np.where(k >= 2, np.nansum(distances, axis=(1, 2)) / np.maximum(k * (k - 1), 1), np.nan)
within = [mean_distance(way, way, own=True) for way in (R, L, C)]
typical = pd.Series(np.nanmean(within[:2], axis=0)).groupby(log.arm).transform("mean").values
within = [np.where(np.isnan(each) & there.any(axis=1), typical, each) for each,
    there in zip(within, (~np.isnan(R), ~np.isnan(L), ~np.isnan(C)))]
across = mean_distance(R, L)
f["asymmetry"] = across - (within[0] + within[1]) / 2
one = np.where(np.isnan(across), np.nanmean(within[:2], axis=0), (np.nanmean(within[:2], axis=0) + across) / 2)
f["turn_change"] = np.nanmean([mean_distance(R, C), mean_distance(L, C)], axis=0) - (one + within[2]) / 2
f["dropout"] = (both_ways.reading.isna() & both_ways.single).groupby(both_ways.id).mean()
single = given[given.single]
f["iron_share"] = (single.reading < iron_break.loc[single.id].values).groupby(single.id).mean()
first = pd.DataFrame(np.hstack([R[:, :3], L[:, :3]])).stack().rename("reading").rename_axis(["id", "pass"]).reset_index()
twice = first.groupby(["id", "reading"]).size()
f["best_repeat"] = twice[twice >= 2].reset_index().groupby("id").reading.max() - f.centre
f["depth_cm"] = pd.to_numeric(log.depth_indicated, errors="coerce")
f["depth_step"] = log.depth_indicated.map({"shallow": 0, "middle": 1, "deep": 2})
f["both_ways"] = log.both_ways.map({"yes": 1, "no": 0})
f["after_turn"] = log.after_turn.map({"holds": 0, "changes": 1, "gone": 2})
f["iron_near"] = log.iron_near.map({"none": 0, "some": 1, "full": 2})
f["own_call"] = log.my_call.map({"good": 1, "cannot-say": 0.5, "iron": 0})
iron_level = f.centre.where(f.centre < iron_break).groupby([log.arm, log.site])
f["above_iron"] = f.centre - iron_level.transform("median").where(iron_level.transform("count") >= 3)

# %% [markdown]
# ## What the season held
# %%
# 1, the answer: five ratios, 2,000 resamples of whole sites each
dug = log[log.dug == "yes"]
ones = np.ones(len(dug))
holding = lambda call, right: share_boot(right[(log.my_call == call) & log.known],
    log.site_code[(log.my_call == call) & log.known], 2000)
display(estimates({
    "holes for each good find": boot([ones, dug.good_finds], dug.site_code, times=2000),
    "finds in a hole": boot([dug.finds, ones], dug.site_code, times=2000),
    "good calls that were not iron": holding("good", log.outcome != "ferrous"),
    "iron calls that were iron": holding("iron", log.outcome == "ferrous"),
    "left undug": share_boot(log.dug == "no", log.site_code, 2000),
}))

# %%
# 1, the signals as a frame
display(pd.concat([log[["signal_id", "site", "month", "machine"]], f.centre, log[["my_call", "dug", "outcome"]]], axis=1))

# %%
# 1, outcomes by site: a figure and a table
by_place = pd.crosstab(log.site, log.outcome)
ax = by_place.plot.barh(stacked=True)
for i, total in enumerate(by_place.sum(axis=1)): ax.text(total, i, f" {total}", va="center", fontsize=7)
ax.set_title("What came of the signals of each site"); plt.show()
display(by_place)

# %%
# 1, grades; signals by month
display(pd.crosstab(log.outcome, log.grade), pd.crosstab(log.month, log.outcome))

# %%
# 1, finds in a hole; holes site by site
good_holes = dug.assign(good=dug.good_finds > 0).groupby("site").agg(holes=("good", "size"), good=("good", "sum"),
    finds=("finds", "sum"), good_finds=("good_finds", "sum"))
good_holes[["share", "low", "high"]] = [wilson(row.good, row.holes) for row in good_holes.itertuples()]
display(dug.finds.clip(upper=3).value_counts().sort_index().rename("holes").to_frame(),
    good_holes.assign(signals=log.groupby("site").size()))

# %%
# 1, own call by outcome and by what was done
display(pd.crosstab(log.my_call, log.outcome), pd.crosstab(log.my_call, log.dug))

# %%
# 1, where the readings lie: a figure for each machine and setting
for arm, part in sorted(log[log.known & f.centre.notna()].groupby("arm"), key=lambda pair: -len(pair[1])):
    machine = scheme[part.machine.iloc[0]]
    fig, axes = plt.subplots(3, 1, sharex=True, figsize=(6, 3.5))
    for ax, outcome in zip(axes, OUTCOMES):
        values = f.centre[part.index][part.outcome == outcome]
        ax.plot(values, rng.random(len(values)), ".", ms=3); ax.set_ylabel(outcome, fontsize=7); ax.set_yticks([])
        edges = [machine["scale"]["low"], *machine["tones"]["breaks"], machine["scale"]["high"]]
        for i, (a, b) in enumerate(zip(edges, edges[1:])): ax.axvspan(a, b, alpha=0.06 * i, lw=0)
        for at in machine["tones"]["breaks"]: ax.axvline(at, ls="--", lw=0.5)
    fig.suptitle(f"Centres on {arm}"); plt.show()

# %% [markdown]
# ## The garden: drift, drag, half gap
# %%
# 2, the answer: drift of each trial, curves of a target's pairs together, errors over blocks (CR2)
trials = pd.read_csv("garden-log.csv", dtype=str, keep_default_na=False)
measures = ["gap_cm", "depth_cm", "target_size_mm", "neighbour_length_mm", "neighbour_thickness_mm", "neighbour_tilt_deg",
    "neighbour_count"]
trials = accepted(trials, "trial_id", {"side": "left right both over under"}, measures)
trials[measures] = trials[measures].apply(pd.to_numeric)
trials["machine"] = trials.settings.map(settings_of.machine)
no_neighbour, no_target = trials.neighbour.isin(["none", ""]), trials.target.isin(["none", ""])
together = trials[~no_neighbour & ~no_target]
tp = pd.concat([passes(trials["readings_" + way]).assign(way=way) for way in ["right", "left"]])
middle = tp.dropna().groupby(["id", "way"]).reading.median().rename("reading").reset_index()
columns = ["trial_id", "block", "machine", "settings", "target", "neighbour", "neighbour_kind", "neighbour_count", "side",
    "depth_cm", "gap_cm", "target_size_mm", "neighbour_thickness_mm"]
middle = middle.join(trials[columns], on="id")

def control(rows, keys):
    """The reading alone in the same block, or else the median of other blocks."""
    own = rows.groupby(["block", *keys]).reading.median()
    return own, rows.groupby(keys).reading.median()
keys = {"clean": ["settings", "target", "depth_cm", "way"], "bare": ["settings", "neighbour", "depth_cm", "way"]}
t = middle[middle.id.isin(together.index)].copy()
for name, rows in [("clean", middle[middle.id.isin(trials.index[no_neighbour & ~no_target])]),
    ("bare", middle[middle.id.isin(trials.index[no_target & ~no_neighbour])])]:
    own, others = control(rows, keys[name])
    t = t.join(own.rename(name), on=own.index.names).join(others.rename("other"), on=others.index.names)
    t[name + "_weaker"] = t[name].isna(); t[name] = t[name].fillna(t.pop("other"))
t["drift"], t["apart"] = t.clean - t.reading, t.clean - t.bare
scatter = tp.dropna().join(middle.set_index(["id", "way"]).reading.rename("middle"), on=["id", "way"])
scatter = scatter[scatter.id.isin(trials.index[no_neighbour])].join(trials.target, on="id")
tolerance = (scatter.reading - scatter.middle).groupby(scatter.target).apply(stats.iqr)
t["tolerance"] = np.maximum(t.target.map(tolerance), t.machine.map(lambda name: scheme[name]["scale"]["step"]))
t = t[t.apart.abs() > 2 * t.tolerance].copy()
t["drag"] = t.drift / t.apart
t["pair"] = t.target + " beside " + t.neighbour + np.where(t.side == "both", ", both sides", "")
t["touching"] = (t.target_size_mm + t.neighbour_thickness_mm) / 20
t["x2"] = (t.gap_cm + t.touching) ** 2
usual = t.depth_cm.mode()[0]
t["z2"] = t.depth_cm**2 - usual**2
display(pd.DataFrame({"trials": [len(trials)], "together": [len(together)], "target alone": [no_neighbour.sum()],
    "neighbour alone": [no_target.sum()], "readings": [len(t)],
    "weaker controls": [(t.clean_weaker | t.bare_weaker | (t.side == "both")).sum()], "blocks": [trials.block.nunique()]}))

def points_of(part, pair="pair"):
    codes, names = pd.factorize(part[pair], sort=True)
    return {"pair": codes, "x": part.x2.values, "z2": part.z2.values, "gap": part.gap_cm.values, "apart": part.apart.values,
        "drift": part.drift.values, "block": pd.factorize(part.block)[0]}, list(names)
take = lambda p, at: {name: column[at] for name, column in p.items()}
scale_at = lambda f, z2: np.maximum(0.1, 1 + f * z2)
def drag_at(theta, p, pairs):
    return expit(np.clip((theta[:pairs][p["pair"]] - p["x"] / scale_at(theta[pairs + 1], p["z2"])) / np.exp(theta[pairs]), -500,
        500))

def start_of(p, pairs):
    """The best of a grid: 12 slopes, 41 half gaps."""
    low, high = p["x"].min(), p["x"].max()
    span, at = max(high - low, 1e-6), np.arange(len(p["x"]))
    onehot = np.zeros((len(at), pairs)); onehot[at, p["pair"]] = 1
    best = np.inf
    for s in span * 2 ** (1 - 0.75 * np.arange(12)):
        q = np.linspace(low - 6 * s, high + 6 * s, 41)
        cost = (p["apart"] * expit((q[:, None] - p["x"]) / s) - p["drift"]) ** 2 @ onehot
        if cost.min(axis=0).sum() < best:
            best, theta = cost.min(axis=0).sum(), np.append(q[cost.argmin(axis=0)], [np.log(s), 0.0])
    return theta

def fit(p, pairs, rounds=2):
    """Pairs of one target share the slope and the depth's part; weights lie on trials near one half, twice set anew."""
    theta = start_of(p, pairs)
    varies = np.ptp(p["z2"]) > 0
    free = pairs + 1 + varies
    rows, w = np.arange(len(p["x"])), np.ones(len(p["x"]))
    whole = lambda at: np.append(at, [0.0] * (pairs + 2 - free))
    def slopes(at):
        at = whole(at)
        d = drag_at(at, p, pairs)
        g = p["apart"] * d * (1 - d) / np.exp(at[pairs])
        scale = scale_at(at[pairs + 1], p["z2"])
        J = np.zeros((len(rows), free)); J[rows, p["pair"]] = g
        J[:, pairs] = -g * (at[:pairs][p["pair"]] - p["x"] / scale)
        if varies: J[:, pairs + 1] = g * p["x"] * p["z2"] / scale**2
        return J
    for _ in range(1 + rounds):
        root = np.sqrt(w)
        found, _, info, _, ended = leastsq(lambda at: root * (p["apart"] * drag_at(whole(at), p, pairs) - p["drift"]),
            theta[:free], Dfun=lambda at: root[:, None] * slopes(at), full_output=True, maxfev=400)
        if ended not in (1, 2, 3, 4): return None
        theta = whole(found); d = drag_at(theta, p, pairs)
        before, w = w, np.maximum(0.1, (4 * d * (1 - d)) ** 4)
    return {"theta": theta, "J": root[:, None] * slopes(theta[:free]), "r": root * (p["drift"] - p["apart"] * d),
        "weights": before, "free": free}

def cr2(J, r, block):
    """Covariance robust to blocks, corrected for few of them, and Satterthwaite's degrees of freedom."""
    bread = np.linalg.pinv(J.T @ J); meat = np.zeros_like(bread); parts = []
    for each in range(block.max() + 1):
        at = block == each
        w, v = np.linalg.eigh(np.eye(at.sum()) - J[at] @ bread @ J[at].T)
        A = (v * (1 / np.sqrt(np.maximum(w, 1e-6)))) @ v.T
        score = J[at].T @ (A @ r[at]); meat += np.outer(score, score)
        U = A @ J[at] @ bread
        Y = -J @ (bread @ (J[at].T @ U)); Y[at] += U
        parts.append(Y)
    G = np.stack(parts)
    P = np.einsum("bnc,dnc->cbd", G, G)
    return bread @ meat @ bread, np.trace(P, axis1=1, axis2=2) ** 2 / (P**2).sum(axis=(1, 2))

def score_limit(p, theta, pairs, to, start):
    """How far q can go before the scores of the blocks refuse it: 400 steps."""
    q = np.linspace(start, to, 401)[1:]
    d = expit((q[:, None] - p["x"] / scale_at(theta[pairs + 1], p["z2"])) / np.exp(theta[pairs]))
    onehot = np.eye(p["block"].max() + 1)[p["block"]][:, np.unique(p["block"])]
    scores = (d * (1 - d) * (d - p["drift"] / p["apart"]) * p["apart"] ** 2) @ onehot * np.sign(to - start)
    refused = scores.mean(axis=1) > t_of(scores.shape[1] - 1) * scores.std(axis=1, ddof=1) / np.sqrt(scores.shape[1])
    return q[refused.argmax()] if refused.any() else np.nan

groups, half = {}, []
for key, part in t.groupby(["machine", "settings", "target"]):
    p, names = points_of(part); pairs = len(names); found = fit(p, pairs)
    groups[key] = part, p, names, found
    if found is None: continue
    cov, df = cr2(found["J"], found["r"], p["block"]); theta, s = found["theta"], np.exp(found["theta"][pairs])
    found["cov"] = cov
    for i, name in enumerate(names):
        own, at = take(p, p["pair"] == i), part[part.pair == name]
        blocks, touching, error = len(np.unique(own["block"])), at.touching.median(), np.sqrt(max(cov[i, i], 0))
        df_i = df[i] if 0 < df[i] < (blocks - 1) / 2 else blocks - 1
        low, high = theta[i] + np.array([-1, 1]) * t_of(max(1, round(df_i, 6))) * error
        if t_of(max(1, round(df_i, 6))) * error > s:
            start = np.clip(theta[i], own["x"].min() - 4 * s, own["x"].max() + 4 * s)
            low, high = (score_limit(own, theta, pairs, to, start)
                for to in (min(own["x"].min(), touching**2) - 4 * s, max(own["x"].max(), touching**2) + 4 * s))
        gap = lambda q: np.sqrt(q) - touching if q > 0 else np.nan
        drags = at.groupby("gap_cm").drag.median()
        says = "never" if high < touching**2 else "half gap" if low > touching**2 and drags.max() > 0.5 > drags.min(
            ) else "cannot tell yet"
        half.append([*key, name, at.neighbour_kind.iloc[0], says, gap(theta[i]), gap(low), gap(high), at.trial_id.nunique(),
            blocks, theta[i], touching, at.apart.median()])
half = pd.DataFrame(half, columns=["machine", "settings", "target", "pair", "kind", "says", "half gap", "low", "high", "trials",
    "blocks", "q", "touching", "apart"])

# %%
# 2, drift at each gap: small plots, and plain means over blocks
grid = np.linspace(0, 16, 100)
def block_means(values, block):
    means = values.groupby(block).mean(); k = len(means)
    return (means.mean(), *(means.mean() + np.array([-1, 1]) * t_of(k - 1) * means.sem())) if k > 1 else (means.mean(), np.nan,
        np.nan)
def curve_on(found, i, pairs, touching, apart=1, grid=grid):
    """The curve at its usual depth over gaps, with its band."""
    theta, cov = found["theta"], found["cov"]; s = np.exp(theta[pairs]); eta = (theta[i] - (grid + touching) ** 2) / s
    d = expit(eta); g = np.column_stack([1 / s * np.ones_like(grid), -eta])
    e = 2.2 * np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", g, cov[np.ix_([i, pairs], [i, pairs])], g), 0))
    return apart * d, apart * expit(eta - e), apart * expit(eta + e)
def small_plots(value):
    for machine, part in t.groupby("machine"):
        own = half[half.machine == machine]
        fig, axes = plt.subplots(2, -(-len(own) // 2), figsize=(10, 5), sharey=True, squeeze=False)
        for ax, row in zip(axes.flat, own.itertuples()):
            each = part[part.pair == row.pair]
            for way, mark in [("right", "o"), ("left", "s")]:
                for deep, face in [(False, None), (True, "none")]:
                    at = (each.way == way) & ((each.depth_cm != usual) == deep)
                    ax.plot(each.gap_cm[at], each[value][at], mark, ms=3, mfc=face, color="C0" if way == "right" else "C1")
            _, _, names, found = groups[machine, row.settings, row.target]
            line, low, high = curve_on(found, names.index(row.pair), len(names), row.touching,
                row.apart if value == "drift" else 1)
            ax.plot(grid, line); ax.fill_between(grid, low, high, alpha=0.3)
            if value == "drag": ax.axhline(0.5, ls="--", lw=0.5)
            else: ax.axhspan(-each.tolerance.max(), each.tolerance.max(), color="0.85")
            ax.set_title(row.pair, fontsize=7)
        fig.suptitle(f"{value} against gap on {machine}"); plt.show()
small_plots("drift")
display(pd.DataFrame([[pair, gap, *block_means(each.drift, each.block), each.drift.min(), each.drift.max(),
    each.trial_id.nunique()] for (pair, gap), each in t.groupby(["pair", "gap_cm"])]))

# %%
# 2, drift in numbers. Near each gap: what the trials leave over, moved along the curve; the clear gap on steps of 0.01 cm
for key, (part, p, names, found) in groups.items():
    pairs, rows = len(names), []
    left = part.drift - part.apart * drag_at(found["theta"], p, pairs)
    for i, row in enumerate(half[half.pair.isin(names)].itertuples()):
        own = part[part.pair == row.pair]; laid = np.sort(own.gap_cm.unique())
        for gap in laid:
            near = laid[np.abs(laid - gap) <= max(2, gap / 2)]; near = near[np.argsort(np.abs(near - gap), kind="stable")]
            for k in range(1, len(near) + 1):
                used = own[own.gap_cm.isin(near[:k])]
                if used.block.nunique() >= 5: break
            at = row.apart * expit((found["theta"][i] - (gap + row.touching) ** 2) / np.exp(found["theta"][pairs]))
            rows.append([row.pair, gap, *(at + np.array(block_means(left[used.index], used.block))), used.block.nunique()])
        fine = np.arange(0, laid.max() + 0.01, 0.01)
        beyond = np.abs(curve_on(found, i, pairs, row.touching, row.apart, fine)[2]) > own.tolerance.max()
        rows.append([row.pair, "clear gap", fine[np.flatnonzero(beyond)[-1]] if beyond.any() and not beyond[-1] else np.nan,
            np.nan, np.nan, row.blocks])
    display(pd.DataFrame(rows, columns=["pair", "gap", "drift", "low", "high", "blocks"]))

# %%
# 2, half gaps: a figure and a table
bars(half.set_index("pair")[["half gap", "low", "high"]], "Half gaps")
display(half)

# %%
# 2, drag against gap: every pair
small_plots("drag")

# %%
# 2, passes on or above the iron break: Firth's logistic curves by trial, shares of each alone
above = tp.join(trials[["machine", *[name for name in columns if name != "machine"]]], on="id")
above["hit"] = (above.reading >= above.machine.map(lambda name: scheme[name]["iron_break"])).astype(float)
shares = above.groupby("id").agg(share=("hit", "mean"), silent=("reading", lambda each: each.isna().sum()),
    passes=("hit", "size")).join(trials)
def share_over_blocks(rows):
    if len(rows) == 0: return np.nan, np.nan, np.nan
    if rows.share.nunique() == 1 and rows.share.iloc[0] in (0, 1): return wilson(rows.share.sum(), len(rows))
    return block_means(rows.share, rows.block)
fig, ax = plt.subplots(); out, steps = [], []
for name, each in t.groupby("pair"):
    own = shares.loc[each.id.unique()]
    pick = lambda of, which: shares[(of & (trials[which] == own[which].iloc[0])).loc[shares.index]]
    row = [name, *share_over_blocks(own), *share_over_blocks(pick(no_target, "neighbour")),
        *share_over_blocks(pick(no_neighbour, "target"))]
    if 0 < own.share.mean() < 1 and own.gap_cm.nunique() >= 3:
        beta, cov, k = firth(own[["gap_cm"]].values, own.share.values, own.block.values)
        line = np.column_stack([np.ones_like(grid), grid]); eta = line @ beta
        e = t_of(k - 1) * np.sqrt(np.einsum("ij,jk,ik->i", line, cov, line))
        ax.plot(grid, expit(eta), label=name); ax.fill_between(grid, expit(eta - e), expit(eta + e), alpha=0.2)
        for gap in (own.gap_cm.min(), own.gap_cm.max()): row.append(expit(beta[0] + beta[1] * gap))
    out.append(row)
    over = each.reading - each.bare
    steps += [[name, gap, *block_means(over[at.index], at.block)] for gap, at in each.groupby("gap_cm")]
ax.legend(fontsize=6); ax.set_title("Share of passes on or above the break"); plt.show()
display(pd.DataFrame(out).join(pd.DataFrame(steps).groupby(0)[2].max().rename("step"), on=0))

# %%
# 2, comparisons by settings, coil, machine, side and order: labels dealt anew within blocks (5,000 times, or all ways where
# they are few), differences by leaving blocks out
t["order"] = np.where(t.side.isin(["left", "right"]), np.where((t.side == "left") == (t.way == "right"), "neighbour first",
    "target first"), None)
t["one_side"] = t.side.where(t.side.isin(["left", "right"]))
t["coil"] = t.settings.map(settings_of.coil.map(str))

def deals(treated, block, exact=20000, times=5000):
    """Every deal of the labels within blocks that hold both, or so many drawn; whether it is every one; the places dealt."""
    parts = [np.flatnonzero(block == each) for each in np.unique(block)]
    parts = [at for at in parts if 0 < treated[at].sum() < len(at)]
    if not parts: return None
    used = np.sort(np.concatenate(parts))
    if np.prod([comb(len(at), int(treated[at].sum())) for at in parts]) <= exact:
        out = np.zeros((1, len(treated)))
        for at in parts:
            chosen = np.zeros((0, len(treated)))
            for each in combinations(at, int(treated[at].sum())):
                chosen = np.vstack([chosen, np.isin(np.arange(len(treated)), each)])
            out = (out[:, None] + chosen[None]).reshape(-1, len(treated))
        return out, True, used
    out = np.zeros((times, len(treated)))
    for at in parts: out[:, at] = rng.permuted(np.broadcast_to(treated[at], (times, len(at))), axis=1)
    return out, False, used

rows = []
for by in ["settings", "coil", "machine", "one_side", "order"]:
    labelled = t.dropna(subset=[by]).assign(cell=lambda each: each.pair + " | " + each[by])
    if labelled.groupby("pair")[by].nunique().max() < 2: continue
    fits = {}
    for key, part in labelled.groupby("target"):
        part = part[part.groupby("cell").gap_cm.transform("nunique") >= 4]
        if len(part) == 0: continue
        p, names = points_of(part, "cell")
        for left in [None, *range(p["block"].max() + 1)]:
            kept = take(p, p["block"] != left) if left is not None else p
            found = fit(kept, len(names)) if len(np.unique(kept["pair"])) == len(names) else None
            for i, name in enumerate(names): fits.setdefault(name, []).append(found["theta"][i] if found else np.nan)
    for pair, own in labelled.groupby("pair"):
        levels = sorted(own[by].unique())
        if len(levels) < 2: continue
        first, second = (np.array(fits.get(f"{pair} | {level}", [np.nan])) for level in levels)
        change = second - first if len(first) == len(second) else np.array([np.nan]); k = len(change) - 1
        reach = t_of(k - 1) * np.sqrt((k - 1) / k * np.sum((change[1:] - change[1:].mean()) ** 2)) if k > 3 else np.nan
        p, _ = points_of(own); found = fit(p, 1); pvalue = np.nan
        if found and own.gap_cm.nunique() >= 4:
            d, s = drag_at(found["theta"], p, 1), np.exp(found["theta"][1]); steep = d * (1 - d) * p["apart"] / s
            pull = found["weights"] * steep * p["apart"] * (p["drift"] / p["apart"] - d) / np.sum(found["weights"] * steep**2)
            unit = own.assign(pull=pull).groupby(["trial_id", by]).agg(pull=("pull", "mean"),
                block=("block", "first")).reset_index()
            dealt = deals((unit[by] == levels[1]).values.astype(float),
                pd.factorize(unit.trial_id if by == "order" else unit.block)[0])
            if dealt is not None:
                labels, exact, used = dealt
                sums = labels @ unit.pull.values; seen = unit.pull.values[used] @ (unit[by] == levels[1]).values[used]
                extreme = (np.abs(sums - sums.mean()) >= abs(seen - sums.mean()) - 1e-9).sum()
                pvalue = extreme / len(sums) if exact else (1 + extreme) / (1 + len(sums))
        rows.append([by, pair, *levels, change[0], change[0] - reach, change[0] + reach, pvalue])
display(pd.DataFrame(rows, columns=["by", "pair", "first", "second", "q differs", "low", "high", "p"]))

# %%
# 2, seven rival forms on blocks left out, the additive model, silence, kinds, what is left over
def falling(p, pairs, u):
    """One length for all pairs, a free start for each: profiled, 41 lengths and then a golden section."""
    onehot = np.eye(pairs)[p["pair"]]
    def at(length):
        shape = np.exp(-u / length)
        starts = (shape * p["apart"] * p["drift"]) @ onehot / np.maximum((shape * p["apart"]) ** 2 @ onehot, 1e-12)
        return starts, np.sum((p["drift"] - starts[p["pair"]] * shape * p["apart"]) ** 2)
    lengths = u.max() * 2 ** (2 - np.arange(41) / 5)
    best = lengths[np.argmin([at(length)[1] for length in lengths])]
    length = minimize_scalar(lambda length: at(length)[1], bounds=(best / 2**0.2, best * 2**0.2), method="bounded").x
    return at(length)[0], length

def forms_of(p, q, pairs, used):
    """What each form, learnt from p, says of the drags of q."""
    x_as = lambda part, x: {**part, "x": x(part)}
    joint = lambda x: (lambda found: drag_at(found["theta"], x_as(q, x), pairs) if found
        else np.full(len(q["x"]), np.nan))(fit(x_as(p, x), pairs))
    says = {"in use": drag_at(used["theta"], q, pairs), "gap alone, squared": joint(lambda part: part["gap"] ** 2),
        "logistic in the gap": joint(lambda part: part["gap"])}
    own, monotone = np.full(len(q["x"]), np.nan), np.full(len(q["x"]), np.nan)
    f = used["theta"][pairs + 1]; flat = lambda part: part["gap"] / np.sqrt(scale_at(f, part["z2"]))
    for i in range(pairs):
        a, b = p["pair"] == i, q["pair"] == i
        if not b.any() or len(np.unique(p["gap"][a])) < 3: continue
        mine, asked = {**take(p, a), "pair": np.zeros(a.sum(), int)}, {**take(q, b), "pair": np.zeros(b.sum(), int)}
        found = fit(mine, 1)
        if found: own[b] = drag_at(found["theta"], asked, 1)
        monotone[b] = IsotonicRegression(increasing=False, out_of_bounds="clip").fit(flat(mine), mine["drift"] / mine["apart"],
            sample_weight=mine["apart"] ** 2).predict(flat(asked))
    says["own slope"], says["falling"] = own, monotone
    for name, u in [("exponential", flat), ("Gaussian", lambda part: part["x"] / scale_at(f, part["z2"]))]:
        starts, length = falling(p, pairs, u(p)); says[name] = starts[q["pair"]] * np.exp(-u(q) / length)
    return says

def additive(fits):
    """q as a sum of a target's part and a neighbour's, weighed by what the fits know of each."""
    parts = [(found, names) for found, names in fits]
    neighbours = sorted({name.split(" beside ")[1] for _, names in parts for name in names})
    width = len(parts) + len(neighbours); normal, right, designs = np.zeros((width, width)), np.zeros(width), []
    for k, (found, names) in enumerate(parts):
        m = len(names); info = found["J"].T @ found["J"] / max(np.sum(found["r"] ** 2), 1e-9)
        metric = info[:m, :m] - info[:m, m:] @ np.linalg.pinv(info[m:, m:]) @ info[m:, :m]
        design = np.zeros((m, width)); design[:, k] = 1
        for j, name in enumerate(names): design[j, len(parts) + neighbours.index(name.split(" beside ")[1])] = 1
        normal += design.T @ metric @ design; right += design.T @ metric @ found["theta"][:m]; designs.append(design)
    solution = np.linalg.pinv(normal) @ right
    return [np.append(design @ solution, found["theta"][len(names):]) for design, (found, names) in zip(designs, parts)]

without = {}
errors = []
for key, (part, p, names, _) in groups.items():
    blocks = part.block.values
    for block in np.unique(blocks):
        held = blocks == block; learn, test = take(p, ~held), take(p, held)
        used = without[key, block] = fit(learn, len(names))
        if used is None: continue
        says = forms_of(learn, test, len(names), used)
        off = pd.DataFrame({form: np.abs(test["drift"] - test["apart"] * drag) for form, drag in says.items()}).dropna()
        if len(off): errors.append([key[2], block, *off.mean()])
errors = pd.DataFrame(errors, columns=["target", "block", *says]).set_index(["target", "block"])
summary = lambda table: table.groupby("target").agg(["mean", lambda each: t_of(len(each) - 1) * each.sem()]).T.unstack()
differences = []
for block in t.block.unique():
    fits = [without.get((key, block)) for key in groups]
    if any(found is None for found in fits): continue
    added, mine = additive([(found, groups[key][2]) for found, key in zip(fits, groups)]), []
    for theta, found, (part, p, names, _) in zip(added, fits, groups.values()):
        q = take(p, part.block.values == block)
        if len(q["x"]):
            mine.append(np.abs(q["drift"] - q["apart"] * drag_at(theta, q, len(names)))
                - np.abs(q["drift"] - q["apart"] * drag_at(found["theta"], q, len(names))))
    differences.append(np.concatenate(mine).mean())
d = pd.Series(differences)
whole = additive([(found, names) for _, _, names, found in groups.values()])
display(summary(errors).join(summary(errors.sub(errors["in use"], axis=0)), rsuffix=" less in use"))
display(Markdown(f"Additive less free: {d.mean():.3f} ± {t_of(len(d) - 1) * d.sem():.3f} on {len(d)} blocks; "
    + ", ".join(f"{q:.1f}" for each in whole for q in each[:-2])))
kinds = half.groupby(["machine", "target", "kind"]).agg(pairs=("pair", "size"),
    never=("says", lambda each: (each == "never").sum()), unknown=("says", lambda each: (each == "cannot tell yet").sum()),
    lowest=("half gap", "min"), highest=("half gap", "max"))
silence = shares.loc[together.index.intersection(shares.index)].groupby(["target", "neighbour"]).agg(silent=("silent", "sum"),
    passes=("passes", "sum"))
few = half[half.blocks < 30].pair
display(kinds, silence, Markdown(f"A bootstrap needs 30 blocks; pairs with fewer: {len(few)}."))
for machine, own in t.groupby("machine"):
    fig, ax = plt.subplots()
    for key, (part, p, names, found) in groups.items():
        if key[0] == machine: ax.plot(part.gap_cm, part.drift - part.apart * drag_at(found["theta"], p, len(names)), ".")
    ax.axhline(0, ls="--", lw=0.5); ax.set_title(f"Left over by the curves, {machine}"); plt.show()
    fig, ax = plt.subplots()
    for key, (part, p, names, found) in groups.items():
        if key[0] == machine:
            ax.plot((found["theta"][p["pair"]] - p["x"] / scale_at(found["theta"][-1], p["z2"]))
                / np.exp(found["theta"][len(names)]), part.drag, ".")
    ax.plot(np.linspace(-5, 5, 50), expit(np.linspace(-5, 5, 50)))
    ax.set_xlim(-8, 8)
    ax.set_title(f"All pairs on one scale, {machine}")
    plt.show()

# %%
# 2, what to lay next: eight trials, each the one that narrows q most
rows = []
for key, (part, p, names, found) in groups.items():
    pairs = len(names)
    for i, row in enumerate(half[(half.target == key[2]) & (half.machine == key[0])].itertuples()):
        if row.says == "never": continue
        cov = np.linalg.pinv(found["J"].T @ found["J"]); before = cov[i, i]
        gaps = np.arange(0, part.gap_cm[part.pair == row.pair].max() * 1.5 + 0.01, 0.5); s = np.exp(found["theta"][pairs])
        eta = (found["theta"][i] - (gaps + row.touching) ** 2) / s; d = expit(eta); steep = d * (1 - d) * abs(row.apart)
        gain = np.zeros((len(gaps), len(cov))); gain[:, i], gain[:, pairs] = steep / s, -steep * eta
        gain *= np.sqrt(2 * np.maximum(0.1, (4 * d * (1 - d)) ** 4) / (1 + (1 - d) ** 2 + d * d))[:, None]
        laid = []
        for _ in range(8):
            moved_ = gain @ cov; after = cov[i, i] - moved_[:, i] ** 2 / (1 + np.einsum("ij,ij->i", moved_, gain))
            best = np.argmin(after)
            laid.append(gaps[best])
            cov = cov - np.outer(moved_[best], moved_[best]) / (1 + moved_[best] @ gain[best])
        rows.append([row.pair, row.says, laid, row.high - row.low, (row.high - row.low) * np.sqrt(cov[i, i] / before)])
display(pd.DataFrame(rows, columns=["pair", "says", "gaps to lay", "width now", "width after"]))

# %% [markdown]
# ## Tones
# %%
# 3, the answer: shares of signals on or above the iron break, bands dropped in the garden, 1,000 resamples a number
band = lambda reading, breaks: np.searchsorted(breaks, reading, side="right")
arms = {arm: part for arm, part in log.groupby("arm")}
machine_of = lambda part: scheme[part.machine.iloc[0]]
logged = both_ways.groupby("id").size().reindex(log.index).notna()
heard = {arm: part[part.known & logged[part.index]].assign(centre=f.centre) for arm, part in arms.items()}
break_rows = {}
for arm, part in heard.items():
    hit = (part.centre >= machine_of(part)["iron_break"]).values
    for outcome in OUTCOMES:
        break_rows[arm, outcome] = share_boot(hit[part.outcome == outcome], part.site_code[part.outcome == outcome])
    masked, iron = (part.outcome == "masked-good").values, (part.outcome == "ferrous").values
    youden = boot([masked & hit, masked, iron & hit, iron], part.site_code,
        lambda s: s[..., 0] / s[..., 1] - s[..., 2] / s[..., 3])
    break_rows[arm, "Youden's J"], break_rows[arm, "balanced accuracy"] = youden, (np.array(youden) + 1) / 2

GAPS = ["under 2 cm", "2 to under 4 cm", "4 to under 8 cm", "8 cm and more"]
trials["centre"] = tp.dropna().groupby("id").reading.median()
target_alone = trials[no_neighbour & ~no_target].dropna(subset=["centre"])
own, others = (target_alone.groupby(by).centre.median() for by in (["block", "settings", "target", "depth_cm"],
    ["settings", "target", "depth_cm"]))
tt = together.assign(centre=trials.centre).join(own.rename("clean"), on=own.index.names).join(others.rename("other"),
    on=others.index.names)
tt["clean_from"] = np.where(tt.clean.notna(), "same block", "other blocks"); tt["clean"] = tt.clean.fillna(tt.other)
tt["gap"] = pd.cut(tt.gap_cm, [-np.inf, 2, 4, 8, np.inf], right=False, labels=GAPS)
garden_arms = {arm: part for arm, part in tt.dropna(subset=["clean"]).groupby("machine")}
drop_rows = []
for arm, part in garden_arms.items():
    breaks = machine_of(part)["tones"]["breaks"]
    a, b = band(part.clean, breaks), np.where(part.centre.isna(), -1, band(part.centre.fillna(0), breaks))
    for gap in GAPS:
        at = (part.gap == gap).values; blocks = part.block.values
        sounding = at & (b >= 0)
        for name, found_ in [("bands", boot([(a - b)[sounding], np.ones(sounding.sum())], blocks[sounding])),
            ("at least one", share_boot((b < a)[at], blocks[at])),
            ("into the lowest", share_boot((b <= 0)[at & (a > 0)], blocks[at & (a > 0)]))]:
            drop_rows.append([arm, gap, name, at.sum(), *found_])

# %%
# 3, the ladder: a figure
for arm, part in trials[~no_target].groupby("machine"):
    laid = pd.cut(part.gap_cm, [-np.inf, 2, 4, 8, np.inf], right=False, labels=GAPS).astype(object).where(~no_neighbour, "clean")
    targets = sorted(part.target.unique())
    fig, axes = plt.subplots(1, len(targets), sharey=True)
    for ax, target in zip(axes, targets):
        own = part.target == target
        ax.plot([[*GAPS, "clean"].index(each) + 0.3 * rng.random() for each in laid[own]], part.centre[own], ".", ms=3)
        ax.set_xticks(range(5), [*GAPS, "clean"], rotation=60, fontsize=6); ax.set_title(target)
        for at in scheme[arm]["tones"]["breaks"]: ax.axhline(at, ls="--", lw=0.5)
    fig.suptitle(f"The ladder of {arm}"); plt.show()

# %%
# 3, clean against beside a neighbour: tables whole, by gap, neighbour and side; passes with 500 resamples a row
def agreement(rows, columns, group, k):
    """How far two bands agree: same, kappas, balanced accuracy, moved down (1,000 resamples each), and symmetry."""
    rows, columns = np.asarray(rows), np.asarray(columns); group = np.asarray(group)
    cells = list(np.eye(k * k)[rows * k + columns].T)
    steps = np.abs(np.subtract.outer(np.arange(k), np.arange(k)))
    def kappa(weights):
        def of(sums):
            T = sums.reshape(*sums.shape[:-1], k, k)
            expected = (weights * T.sum(axis=-1)[..., :, None] * T.sum(axis=-2)[..., None, :]).sum(axis=(-1, -2))
            with np.errstate(all="ignore"): return 1 - (weights * T).sum(axis=(-1, -2)) * T.sum(axis=(-1, -2)) / expected
        return of
    there = np.unique(rows)
    def balanced(sums):
        T = sums.reshape(*sums.shape[:-1], k, k)
        return np.mean([T[..., i, i] / T[..., i, :].sum(axis=-1) for i in there], axis=0)
    moved_ = rows != columns
    T = np.array([np.sum(each) for each in cells]).reshape(k, k)
    upper = np.triu_indices(k, 1); pairs = (T + T.T)[upper]; chi = np.sum((T - T.T)[upper][pairs > 0] ** 2 / pairs[pairs > 0])
    found_ = {"same": share_boot(rows == columns, group), "moved down": share_boot((columns < rows)[moved_], group[moved_])}
    if len(there) > 1:
        found_ |= {"kappa": boot(cells, group, kappa(steps > 0)), "weighted kappa": boot(cells, group, kappa(steps)),
            "balanced accuracy": boot(cells, group, balanced)}
    return found_ | {"symmetry p": (stats.chi2.sf(chi, max((pairs > 0).sum(), 1)), np.nan, np.nan)}

def counted_passes(part, long, rows, row_names, breaks, group, times=500):
    """Passes by band, and the shares of each row with whole groups drawn anew."""
    own = long[long.id.isin(part.index) & long.single]
    k = len(breaks) + 2
    column = np.where(own.reading.isna(), k - 1, band(own.reading.fillna(0), breaks))
    at = part.index.get_indexer(own.id); row = rows[at]; out = []
    for i, name in enumerate(row_names):
        here = row == i
        if not here.any(): continue
        found_ = boot([*np.eye(k)[column[here]].T, np.ones(here.sum())], group[at][here], lambda s: s[..., :-1] / s[..., -1:],
            times)
        out += [[name, j, (column[here] == j).sum(), *(np.broadcast_to(each, k)[j] for each in found_)] for j in range(k)]
    return pd.DataFrame(out)

agreements = {}
for arm, part in garden_arms.items():
    tones = machine_of(part)["tones"]
    k = len(tones["breaks"]) + 1
    names = [each["name"] for each in tones["bands"]] + ["silent"]
    a, b = band(part.clean, tones["breaks"]), np.where(part.centre.isna(), k, band(part.centre.fillna(0), tones["breaks"]))
    count = lambda at: np.array([[((a == i) & (b == j) & at).sum() for j in range(k + 1)] for i in range(k + 1)])
    by_gap = np.array([[((b == j) & (part.gap == gap)).sum() for j in range(k + 1)] for gap in GAPS])
    heat(by_gap, GAPS, names, f"Where targets sound beside a neighbour, {arm}")
    display(wilsons(count(True), names), counted_passes(part, tp, a, names, tones["breaks"], part.block.values),
        part.clean_from.value_counts().to_frame())
    for column in ["gap", "neighbour", "side"]:
        for value in part[column].unique(): display(wilsons(count((part[column] == value).values), names))
    both = b < k
    agreements[arm] = estimates(agreement(a[both], b[both], part.block.values[both], k))

# %%
# 3, bands dropped and agreement
display(pd.DataFrame(drop_rows), pd.concat(agreements))

# %%
# 3, hear it: three sounds
def sound(right_passes, left_passes, machine, iron_loudness=0.4, rate=8000, sweep=0.32, tone=0.12, most=5):
    """The first passes as short tones, right and left by turns, in the pitch and loudness of their bands."""
    turns = [(part[i], way) for i in range(most) for part, way in ((right_passes, 1), (left_passes, -1)) if i < len(part)][:most]
    bands, every, long = machine["tones"]["bands"], round(sweep * rate), round(tone * rate)
    out, k = np.zeros((2, len(turns) * every)), np.arange(round(tone * rate))
    fade = 0.5 - 0.5 * np.cos(np.pi * np.minimum(np.minimum(k, long - 1 - k), 0.01 * rate) / (0.01 * rate))
    for i, (reading, way) in enumerate(turns):
        if np.isnan(reading): continue
        at = band(reading, machine["tones"]["breaks"]); loudness = iron_loudness if at == 0 else bands[at]["loudness"]
        sample = 0.5 * loudness * fade * np.sin(2 * np.pi * bands[at]["pitch_hz"] * k / rate)
        angle = np.pi / 4 * (1 + 0.75 * way)
        out[:, i * every:i * every + long] = sample * np.cos(angle), sample * np.sin(angle)
    return Audio(out, rate=rate, normalize=False)
words = lambda id_, long: long.reading[(long.id == id_) & long.single].values
of_trial = {way: tp[tp.way == way] for way in ["right", "left"]}
for arm, part in garden_arms.items():
    close_by = part[(part.gap_cm <= 4) & (part.centre < part.clean)]
    lower = close_by[band(close_by.centre, machine_of(part)["tones"]["breaks"]) < band(close_by.clean,
        machine_of(part)["tones"]["breaks"])]
    for one in rng.permutation(len(lower)):
        pick = lower.iloc[one]; like = (trials.block == pick.block) & (trials.depth_cm == pick.depth_cm)
        without_neighbour, without_target = trials.index[like & (trials.target == pick.target) & no_neighbour], trials.index[like
            & (trials.neighbour == pick.neighbour) & no_target]
        if len(without_neighbour) and len(without_target): break
    for id_ in rng.permutation([without_neighbour[0], without_target[0], pick.name]):
        display(Markdown(f"{trials.target[id_]}, {trials.neighbour[id_]}"),
            sound(words(id_, of_trial["right"]), words(id_, of_trial["left"]), scheme[arm]))

# %%
# 3, what came out, by tone: figures, shares by Wilson, passes with 500 resamples a row
ROWS = [*OUTCOMES, "unknown", "nothing-found", "stopped", "hazard", "not-dug"]
for arm, part in sorted(arms.items(), key=lambda pair: -len(pair[1])):
    tones = machine_of(part)["tones"]
    k = len(tones["breaks"]) + 1
    names = [each["name"] for each in tones["bands"]] + ["silent", "not logged"]
    centre = f.centre[part.index]
    column = np.where(centre.notna(), band(centre.fillna(0), tones["breaks"]), np.where(logged[part.index], k, k + 1))
    row = part.outcome.map({name: i for i, name in enumerate(ROWS)}).values
    counts = np.zeros((len(ROWS), k + 2), int); np.add.at(counts, (row, column), 1)
    heat(counts, ROWS, names, f"What came out, by tone, {arm}")
    display(pd.DataFrame(counts, ROWS, names), wilsons(counts, ROWS),
        counted_passes(part, both_ways, row, ROWS, tones["breaks"], part.site_code.values))
display(estimates(break_rows))

# %%
# 3, the tone that was heard: agreement with the band read
rows = {}
for arm, part in arms.items():
    tones = machine_of(part)["tones"]; names = [each["name"] for each in tones["bands"]]; k = len(names)
    said = part.tone_heard.str.strip().str.lower().map({name.lower(): i for i, name in enumerate(names)})
    part = part[said.notna() & logged[part.index]]; said = said[part.index].astype(int).values
    centre = f.centre[part.index]; read = np.where(centre.isna(), k, band(centre.fillna(0), tones["breaks"]))
    counts = np.zeros((k, k + 1), int); np.add.at(counts, (said, read), 1)
    display(wilsons(counts, names))
    for name, each in agreement(said[read < k], read[read < k], part.site_code.values[read < k], k).items():
        rows[arm, name] = each
display(estimates(rows))

# %%
# 3, other schemes: five invented beside the machine's own, 1,000 resamples a number; the same in the garden
INVENTED = {(0, 600): [[], [210], [210, 320, 430], [210, 270, 330, 390, 450, 510], [210]],
    (-200, 200): [[], [-60], [-60, 30, 115], [-60, -20, 25, 70, 115, 160], [-60]]}
schemes_of = lambda machine: [machine["tones"]["breaks"], *INVENTED[machine["scale"]["low"], machine["scale"]["high"]]]
for arm, part in heard.items():
    rows = {}
    site, is_masked, is_iron = part.site_code.values, (part.outcome == "masked-good").values, (part.outcome == "ferrous").values
    bands = [np.where(part.centre.isna(), -1, band(part.centre.fillna(0), breaks)) for breaks in schemes_of(machine_of(part))]
    for i, each in enumerate(bands):
        for name, at in [("masked goods", is_masked), ("iron", is_iron)]:
            here, mine = each[at] > 0, bands[0][at] > 0
            rows[i, f"{name} heard"] = share_boot(here, site[at])
            if (here != mine).any(): rows[i, f"{name} less own"] = share_boot(here.astype(int) - mine, site[at])
            if name == "masked goods" and (here != mine).any():
                rows[i, "McNemar p"] = stats.binomtest((here & ~mine).sum(), (here != mine).sum()).pvalue, np.nan, np.nan
        next_ = (is_masked | is_iron) & (each == 1)
        rows[i, "good in the next band"] = share_boot(is_masked[next_], site[next_])
    display(estimates(rows))
rows = {}
for arm, part in garden_arms.items():
    moves = []
    for i, breaks in enumerate(schemes_of(machine_of(part))):
        a, b = band(part.clean, breaks), np.where(part.centre.isna(), -1, band(part.centre.fillna(0), breaks))
        moves.append(a != b)
        rows[arm, i, "moved"] = share_boot(moves[i], part.block)
        rows[arm, i, "dropped"] = boot([np.maximum(a - b, 0), np.ones(len(a))], part.block)
        if (moves[i] != moves[0]).any(): rows[arm, i, "moved less own"] = share_boot(moves[i].astype(int) - moves[0], part.block)
display(estimates(rows))

# %%
# 3, could the break lie better? Its cost at every step, the best on sites left out, and of sites drawn anew (300 times)
rows = {}
for arm, part in sorted(heard.items(), key=lambda pair: -len(pair[1])):
    machine, part = machine_of(part), part.dropna(subset=["centre"])
    steps = np.arange(machine["scale"]["low"], machine["scale"]["high"] + 1, machine["scale"]["step"])
    good, c, site = (part.outcome != "ferrous").values, part.centre.values, pd.factorize(part.site_code)[0]; k = site.max() + 1
    by_step = np.zeros((k, len(steps)))
    for each in range(k):
        at = site == each
        by_step[each] = 4 * np.searchsorted(np.sort(c[at & good]),
            steps) + (at & ~good).sum() - np.searchsorted(np.sort(c[at & ~good]), steps)
    total = by_step.sum(axis=0)
    fig, ax = plt.subplots()
    ax.plot(steps, total / len(c))
    ax.axvline(machine["iron_break"], ls="--", lw=0.5)
    ax.set_title(f"What one break would cost, {arm}")
    plt.show()
    if k < 2: continue
    b = band(c, machine["tones"]["breaks"])
    def own_digs(at):
        return np.array([4 * (good & (b == each) & at).sum() > (~good & (b == each) & at).sum()
            for each in range(b.max() + 1)])[b]
    cost = lambda digs: np.where(good, 4 * ~digs, digs)
    apparent = cost(own_digs(True)) - cost(c >= steps[total.argmin()])
    ours, theirs = np.zeros(len(c), bool), np.zeros(len(c), bool)
    for each in range(k):
        at = site == each
        ours[at], theirs[at] = (c >= steps[(total - by_step[each]).argmin()])[at], own_digs(~at)[at]
    held_out = cost(theirs) - cost(ours)
    for name, value, at in [("apparent gain", apparent, good | True), ("held-out gain", held_out, good | True),
        ("flattery", apparent - held_out, good | True), ("iron dug more", ours.astype(int) - theirs, ~good),
        ("good dug more", ours.astype(int) - theirs, good)]:
        rows[arm, name] = share_boot(value[at], site[at])
    lowest = steps[(rng.multinomial(k, np.full(k, 1 / k), size=300) @ by_step).argmin(axis=1)]
    rows[arm, "lowest break"] = steps[total.argmin()], *np.quantile(lowest, [0.025, 0.975])
display(estimates(rows))

# %%
# 3, dig or pass: ten sounds
arm, part = max(heard.items(), key=lambda pair: len(pair[1]))
quiz = part[part.outcome.isin(["ferrous", "masked-good"]) | (part.good_finds > 0)]
masked_first = pd.concat([quiz[quiz.outcome == "masked-good"].sample(3, random_state=1),
    quiz[quiz.outcome == "non-ferrous"].sample(2, random_state=1), quiz[quiz.outcome == "ferrous"].sample(5, random_state=1)])
for row in masked_first.sample(frac=1, random_state=1).itertuples():
    display(sound(words(row.Index, ways["right"]), words(row.Index, ways["left"]), machine_of(part)),
        Markdown(f"{row.outcome}, {row.grade}"))

# %% [markdown]
# ## The personal model
# %%
# 4, the answer: ten engines on sites they had not seen, 200 trees a forest, penalties chosen inside folds; features by outcome,
# 400 resamples
READING = ["centre", "spread", "asymmetry", "turn_change", "dropout", "iron_share", "best_repeat", "depth_cm", "depth_step",
    "both_ways", "after_turn", "iron_near"]
LEVEL, WORTHS = 0.9, [3, 5, 10]
floor = lambda p, n: (n * p + 1) / (n + 3)

def grown(X, y, trees, leaf=3, features=0.5):
    return RandomForestClassifier(trees, min_samples_leaf=leaf, max_features=features, random_state=1).fit(X, y)
def chances(model, X, n):
    p = np.zeros((len(X), 3)); p[:, model.classes_] = model.predict_proba(X)
    return floor(p, n)
def forest(X, y, learn, Z, trees=200): return chances(grown(X[learn], y[learn], trees), Z, len(learn))
# Forked, for what the kernel has imported need not be imported again
def in_parallel(jobs): return Parallel(n_jobs=2, backend="multiprocessing")(jobs)

def design(X):
    """Features cut at their outer twentieths and scaled; blank is the mean, and a switch tells blanks of the passes."""
    X = np.where(np.isnan(X).all(axis=0), 0, X)
    low, high = np.nanquantile(X, [0.05, 0.95], axis=0)
    flat = ~(high > low); low[flat], high[flat] = np.nanmin(X[:, flat], axis=0), np.nanmax(X[:, flat], axis=0)
    cut = np.clip(X, low, high); mean, scale = np.nanmean(cut, axis=0), np.nanstd(cut, axis=0)
    kept = scale > 1e-9
    blank = np.isnan(X[:, :7])
    at = np.unique(blank, axis=1, return_index=True)[1]
    at = at[blank[:, at].any(axis=0) & ~blank[:, at].all(axis=0)]
    share = blank[:, at].mean(axis=0)
    return lambda Z: np.hstack([np.nan_to_num((np.clip(Z, low, high) - mean) / np.where(kept, scale, 1))[:, kept],
        np.isnan(Z[:, :7])[:, at] - share])

def fair_folds(y, groups, most):
    """Folds of whole sites, or else of whole outings, that leave half of each outcome to learn from."""
    total = np.bincount(y, minlength=3)
    for group in groups:
        for count in range(min(most, len(np.unique(group))), 1, -1):
            folds = list(GroupKFold(count).split(y, y, group))
            if all((np.bincount(y[learn], minlength=3) >= total / 2).all() for learn, _ in folds): return folds
    return None

def penalty_of(X, y, groups):
    """Of five strengths the one of the least loss on inner folds; above 800 signals, or without fair folds, the usual one."""
    folds = fair_folds(y, groups, 5) if len(y) <= 800 else None
    if folds is None: return 2
    strengths, losses = [32, 8, 2, 0.5, 0.125], np.zeros(5)
    for learn, judge in folds:
        fill = design(X[learn]); A, B = fill(X[learn]), fill(X[judge]); model = LogisticRegression(warm_start=True, max_iter=500)
        for k, strength in enumerate(strengths):
            model.set_params(C=1 / strength).fit(A, y[learn])
            losses[k] -= np.log(chances(model, B, len(learn))[np.arange(len(judge)), y[judge]]).sum()
    return strengths[losses.argmin()]
def logistic(X, y, groups, learn, Z):
    fill = design(X[learn])
    return chances(LogisticRegression(C=1 / penalty_of(X[learn], y[learn], [group[learn] for group in groups]),
        max_iter=500).fit(fill(X[learn]), y[learn]), fill(Z), len(learn))

def answered(answer, y, learn, asked):
    """The shares of outcomes where a rule gave the same answer."""
    counts = np.zeros((int(answer.max()) + 1, 3)); np.add.at(counts, (answer[learn], y[learn]), 1)
    return ((counts + 1) / (counts.sum(axis=1, keepdims=True) + 3))[answer[asked]]
def step_rule(above_iron, y, learn, asked):
    """One step above the site's iron, of 19 candidates the best where it learns."""
    known = above_iron[learn][~np.isnan(above_iron[learn])]; tried = []
    for step in np.unique(np.quantile(known, np.arange(1, 20) / 20, method="lower")):
        answer = np.where(np.isnan(above_iron), 2, above_iron >= step).astype(int)
        tried.append((-np.log(answered(answer, y, learn, learn)[np.arange(len(learn)), y[learn]]).sum(), answer))
    return answered(min(tried, key=lambda pair: pair[0])[1], y, learn, asked)

studies = {}
for arm, part in sorted(arms.items(), key=lambda pair: -pair[1].known.sum()):
    at = part.index[part.known]; y = log.outcome[at].map({name: i for i, name in enumerate(OUTCOMES)}).values
    counts, site = np.bincount(y, minlength=3), log.site_code[at].values
    study = studies[arm] = {"at": at, "y": y, "site": site, "counts": counts, "n": len(y), "machine": machine_of(part),
        "left": part.outcome.value_counts()}
    if counts.min() < 20 or len(np.unique(site)) < 4: continue
    X = f.loc[at, READING].values.astype(float)
    study["kept"] = [name for name, ok in zip(READING, ~np.isnan(X).all(axis=0)) if ok]
    X = f.loc[at, study["kept"]].values.astype(float); call = f.own_call[at].values[:, None]
    filled, centre = np.where(np.isnan(X), -999, X), f.centre[at].values
    groups_of = [site, pd.factorize(log.outing_id[at])[0]]
    folds = fair_folds(y, groups_of, 10)
    by_band = lambda breaks: np.where(np.isnan(centre), len(breaks) + 1, band(np.nan_to_num(centre), breaks))
    calls = np.where(np.isnan(call[:, 0]), 3, np.nan_to_num(call[:, 0]) * 2).astype(int)
    tones = study["machine"]["tones"]["breaks"]
    with_call = np.hstack([X, call])
    slow = {"logistic": [delayed(logistic)(X, y, groups_of, a, X[b]) for a, b in folds],
        "logistic and own call": [delayed(logistic)(with_call, y, groups_of, a, with_call[b]) for a, b in folds],
        "forest": [delayed(forest)(filled, y, a, filled[b]) for a, b in folds]}
    said = iter(in_parallel(job for jobs in slow.values() for job in jobs))
    single_tree = lambda a: DecisionTreeClassifier(max_depth=4, min_samples_leaf=10, random_state=1).fit(filled[a], y[a])
    def second_opinion(a, b):
        some = rng.choice(a, min(80, len(a)), replace=False)
        return chances(grown(filled[some], y[some], 10, 1, "sqrt"), filled[b], len(a))
    engines = {
        "base rates": lambda a, b: answered(np.zeros(len(y), int), y, a, b),
        "own call": lambda a, b: answered(calls, y, a, b),
        "tone rule": lambda a, b: answered(by_band([study["machine"]["iron_break"]]), y, a, b),
        "tone band": lambda a, b: answered(by_band(tones), y, a, b),
        "step rule": lambda a, b: step_rule(f.above_iron[at].values, y, a, b),
        **dict.fromkeys(["logistic", "logistic and own call"]),
        "single tree": lambda a, b: chances(single_tree(a), filled[b], len(a)),
        "forest": None,
        "second opinion": second_opinion,
    }
    if len(tones) < 2: del engines["tone band"]
    found_ = {name: np.zeros((len(y), 3)) for name in engines}
    for name, engine in engines.items():
        for a, b in folds: found_[name][b] = next(said) if name in slow else engine(a, b)
    fold = np.empty(len(y), int)
    for k, (_, b) in enumerate(folds): fold[b] = k
    losses, scores = {}, {}
    for name, p in found_.items():
        losses[name] = -np.log(p[np.arange(len(y)), y]); hit = p.argmax(axis=1)
        score = {"log loss": by_site(losses[name], 1, site), "Brier": by_site(((p - np.eye(3)[y]) ** 2).sum(axis=1), 1, site),
            "accuracy": by_site(hit == y, 1, site, share=True), "worth area": separation(1 - p[:, 0], np.minimum(y, 1), site),
            "masked area": separation(p[:, 2], np.array([0, -1, 1])[y], site)}
        for i, outcome in enumerate(OUTCOMES):
            score[f"recall {outcome}"] = by_site((hit == i) & (y == i), y == i, site, share=True)
            score[f"precision {outcome}"] = by_site((hit == i) & (y == i), hit == i, site, share=True)
        scores[name] = score
    judged = [name for name in losses if name != "second opinion"]
    best = min(judged, key=lambda name: losses[name].mean())
    clear = lambda name, other: name != other and by_site(losses[name] - losses[other], 1, site)[1] > 0
    chosen = next(name for name in judged if not clear(name, best))
    study |= {"X": X, "groups": groups_of, "filled": filled, "folds": folds, "fold": fold, "found": found_, "losses": losses,
        "scores": scores, "best": best, "chosen": chosen, "above best": {name: by_site(losses[name] - losses[best], 1, site)
        for name in judged}, "above chosen": {name: by_site(losses[name] - losses[chosen], 1, site) for name in judged}}
scored = {arm: study for arm, study in studies.items() if "X" in study}

SHOWN = ["centre", "spread", "asymmetry", "turn_change", "dropout", "depth_cm", "depth_step"]
def median_by_site(v, site, times=400):
    """The median, with whole sites drawn anew."""
    order = np.argsort(v); v, codes = v[order], pd.factorize(site[order])[0]; k = codes.max() + 1
    if k < 5: return np.median(v), np.nan, np.nan
    upto = np.cumsum(rng.multinomial(k, np.full(k, 1 / k), size=times)[:, codes], axis=1); total = upto[:, -1:]
    lower, upper = (v[(upto > place).argmax(axis=1)] for place in ((total - 1) // 2, total // 2))
    return np.median(v), *np.quantile((lower + upper) / 2, [0.025, 0.975])
for study in scored.values():
    study["says"], study["medians"] = {}, {}
    y, site = study["y"], study["site"]
    for name in SHOWN:
        v = f[name][study["at"]].values.astype(float)
        if np.isnan(v).all(): continue
        for i, outcome in enumerate(OUTCOMES):
            there = (y == i) & ~np.isnan(v)
            if there.any(): study["medians"][name, outcome] = median_by_site(v[there], site[there])
        for kind, codes in [("goods over ferrous", [0, 1, 1]), ("masked over ferrous", [0, -1, 1]),
            ("masked over plain", [-1, 0, 1])]:
            study["says"][name, kind] = separation(v, np.array(codes)[y], site)

# %%
# 4, what there is to learn from
display(pd.DataFrame({arm: {**dict(zip(OUTCOMES, study["counts"])), **study["left"].drop(OUTCOMES, errors="ignore")} for arm,
    study in studies.items()}))

# %%
# 4, how the dug differ
chosen_arms = {arm: part for arm, part in arms.items() if (part.dug == "no").any() and (part.dug != "no").any()}
for part in chosen_arms.values():
    display(estimates({name: separation(f[name][part.index], (part.dug != "no").astype(int), part.site_code)
        for name in ["centre", "spread", "asymmetry", "dropout", "depth_cm", "own_call"]}))

# %%
# 4, what grows with the passes
swept = both_ways[both_ways.single].groupby("id").size().reindex(log.index)
for study in scored.values():
    own = swept[study["at"]].values; iron = (study["y"] == 0) & ~np.isnan(own)
    kind = np.where(iron, own > np.median(own[iron]), -1).astype(int)
    display(estimates({name: separation(f[name][study["at"]], kind, study["site"])
        for name in ["centre", "spread", "asymmetry", "turn_change", "dropout", "best_repeat"]}))

# %%
# 4, all signals, dug or passed by: by strata (1,000 resamples of whole sites), and by weights of one over the chance of being dug
for arm, part in chosen_arms.items():
    part = part[~part.outcome.isin(["stopped", "hazard"])]
    c, above_iron, machine = f.centre[part.index], f.above_iron[part.index], machine_of(part)
    code = part.outcome.map({name: i for i, name in enumerate(OUTCOMES)}); known = code.notna().values
    step = np.where(above_iron.isna(), 2, above_iron >= f.above_iron[arms[arm].index].median())
    stratum = pd.factorize(np.where(c.isna(), -1, band(c.fillna(0), machine["tones"]["breaks"])) * 3 + step)[0]
    k = stratum.max() + 1
    site = pd.factorize(part.site_code)[0]
    held = np.zeros((site.max() + 1, k, 4)); np.add.at(held, (site, stratum, np.where(known, code.fillna(3), 3).astype(int)), 1)
    def among(i, unknown):
        def share(sums):
            T = sums.reshape(*sums.shape[:-1], k, 4)
            total, dug_ = T.sum(axis=-1), T[..., :3].sum(axis=-1)
            thin = (dug_ < 5) & (dug_ < total)
            with np.errstate(all="ignore"):
                grown_ = np.where(thin, T[..., i] + unknown * T[..., 3], np.nan_to_num(total * T[..., i] / dug_))
            return grown_.sum(axis=-1) / total.sum(axis=-1)
        return boot(list(held.reshape(len(held), -1).T), np.arange(len(held)), share)
    rows = {}
    for i, outcome in enumerate(OUTCOMES):
        rows[outcome, "dug"], rows[outcome, "at least"], rows[outcome, "at most"] = by_site((code == i).values, known, site,
            share=True), among(i, 0), among(i, 1)
    if not known.all():
        columns = [c.fillna(c.mean()), c.isna()] + [part[name] == word for name in ("my_call", "iron_near")
            for word in part[name].unique()[1:]]
        columns = np.column_stack([np.asarray(column, float) for column in columns if len(np.unique(column)) > 1])
        columns = (columns - columns.mean(axis=0)) / columns.std(axis=0)
        beta = firth(columns, known.astype(float)); weights = np.minimum(10, 1 / expit(beta[0] + columns @ beta[1:]))[known]
        for i, outcome in enumerate(OUTCOMES):
            rows[outcome, "weighted"] = by_site(weights * (code[known] == i), weights, site[known], share=True)
        rows["holes dug by lot", "as many as"] = weights.sum() ** 2 / (weights**2).sum(), np.nan, np.nan
    display(estimates(rows))

# %%
# 4, what each feature alone says: a figure and a table, and a figure a feature
for arm, study in scored.items():
    said = estimates(study["says"]); bars(said, f"What each feature alone says, {arm}", 0.5)
    display(said.join(estimates(study["medians"]), how="outer", rsuffix=" median"))
    for name in dict(study["says"].keys()):
        v = f[name][study["at"]].values.astype(float); fig, ax = plt.subplots(figsize=(5, 2))
        for i, outcome in enumerate(OUTCOMES):
            own = v[(study["y"] == i) & ~np.isnan(v)]; ax.plot(own, i + 0.3 * rng.random(len(own)), ".", ms=2)
            if len(own):
                ax.plot(np.quantile(own, [0.25, 0.75]), [i, i], lw=6, alpha=0.3)
                value, low, high = study["medians"][name, outcome]
                ax.plot([low, high], [i, i], "k")
                ax.plot(value, i, "ko")
        ax.set_yticks(range(3), OUTCOMES); ax.set_title(f"{name}, {arm}"); plt.show()

# %%
# 4, which engine: differences and every score, two figures and two tables
for arm, study in scored.items():
    differences = estimates(study["above best"])
    bars(differences, f"Log loss above the best, {arm}", 0)
    display(differences.join(estimates(study["above chosen"]), rsuffix=" above the recommended"))
    bars(estimates({name: score["log loss"] for name, score in study["scores"].items()}),
        f"Log loss, {arm}; recommended: {study['chosen']}")
    display(pd.DataFrame({name: {key: "{:.3f} ({:.3f} to {:.3f})".format(*value) for key, value in score.items()} for name,
        score in study["scores"].items()}).T)

# %%
# 4, the single tree, question by question
for arm, study in scored.items():
    tree = DecisionTreeClassifier(max_depth=4, min_samples_leaf=10, random_state=1).fit(study["filled"], study["y"])
    display(Markdown(f"```\n{export_text(tree, feature_names=study['kept'], show_weights=True)}```"))
    display(pd.DataFrame(tree.tree_.value[:, 0], columns=OUTCOMES))

# %%
# 4, what it takes for what
used_by = {arm: study for arm, study in scored.items() if study["chosen"] != "base rates"}
for arm, study in used_by.items():
    table = np.zeros((3, 3), int); np.add.at(table, (study["y"], study["found"][study["chosen"]].argmax(axis=1)), 1)
    heat(table, OUTCOMES, OUTCOMES, f"What it takes for what, {arm}"); display(pd.DataFrame(table, OUTCOMES, OUTCOMES))

# %%
# 4, how far to trust a chance, in five groups
for arm, study in used_by.items():
    worth = 1 - study["found"][study["chosen"]][:, 0]; cut = pd.qcut(worth, 5, labels=False, duplicates="drop"); rows = []
    for each in range(cut.max() + 1):
        at = cut == each
        rows.append([at.sum(), *by_site(worth[at], 1, study["site"][at], share=True),
            *by_site(study["y"][at] > 0, 1, study["site"][at], share=True)])
    rows = np.array(rows); fig, ax = plt.subplots(); ax.plot([0, 1], [0, 1], "--")
    ax.errorbar(rows[:, 1], rows[:, 4], yerr=np.abs(np.nan_to_num(rows[:, 5:] - rows[:, 4:5])).T, fmt="o")
    ax.set_title(f"How far to trust a chance, {arm}")
    plt.show()
    display(pd.DataFrame(rows))

# %%
# 4, chances corrected by a temperature (an outcome of fewer than 200 carries no curve), chosen inside folds: without one, and
# without two
def power_of(logs, y):
    rows = np.arange(len(y))
    return minimize_scalar(lambda power: np.log(np.exp(power * logs).sum(axis=1)).sum() - power * logs[rows, y].sum(),
        bounds=(0, 20), method="bounded", options={"xatol": 1e-6}).x
def raised(logs, power): p = np.exp(power * logs); return p / p.sum(axis=1, keepdims=True)
for arm, study in used_by.items():
    y, site, fold, plain = study["y"], study["site"], study["fold"], study["found"][study["chosen"]]
    logs, count = np.log(plain), fold.max() + 1
    loss = lambda p, at: -np.log(p[np.arange(len(at)), y[at]])
    before = loss(plain, np.arange(len(y)))
    change, corrected, used, temperatures = np.zeros((count, len(y))), plain.copy(), plain.copy(), []
    for a, b in combinations(range(count), 2):
        power = power_of(logs[(fold != a) & (fold != b)], y[(fold != a) & (fold != b)])
        for one_, left in ((a, b), (b, a)):
            at = np.flatnonzero(fold == one_)
            change[left, at] = loss(raised(logs[at], power), at) - before[at]
    for k in range(count):
        at, others = np.flatnonzero(fold == k), fold != k
        power = power_of(logs[others], y[others])
        temperatures.append(1 / power)
        corrected[at] = raised(logs[at], power)
        if by_site(change[k][others], 1, site[others], 0.6827)[2] < 0: used[at] = corrected[at]
    after = loss(corrected, np.arange(len(y)))
    study["used"] = used if by_site(after - before, 1, site, 0.6827)[2] < 0 else plain
    t_logs = np.log(temperatures)
    whole = 1 / power_of(logs, y)
    e = t_of(count - 1) * np.sqrt((count - 1) / count * np.sum((t_logs - t_logs.mean()) ** 2))
    curved, flat, raw = (np.zeros(len(y)) for _ in range(3))
    for i in range(3):
        came = (y == i).astype(float); shares_ = IsotonicRegression(out_of_bounds="clip").fit_transform(plain[:, i], came)
        raw += (plain[:, i] - came) ** 2; curved += (shares_ - came) ** 2; flat += (came.mean() - came) ** 2
    display(estimates({"before": by_site(before, 1, site), "after": by_site(after, 1, site),
        "change": by_site(after - before, 1, site), "temperature": (whole, whole * np.exp(-e), whole * np.exp(e)),
        "change as used": by_site(loss(used, np.arange(len(y))) - before, 1, site), "Brier": by_site(raw, 1, site),
        "miscalibration": by_site(raw - curved, 1, site), "discrimination": by_site(flat - curved, 1, site),
        "uncertainty": by_site(flat, 1, site)}))

# %%
# 4, could be either: an outcome is left out where its chance is lower than for all but a few of its own, at other sites
for arm, study in used_by.items():
    y, site, strange = study["y"], study["site"], 1 - study["used"]; sets = np.ones((len(y), 3), bool)
    for each in np.unique(site):
        for i in range(3):
            own = np.sort(strange[(site != each) & (y == i), i]); rank = int(np.ceil((len(own) + 1) * LEVEL - 1e-9))
            if len(own) >= 9 and rank <= len(own): sets[site == each, i] = strange[site == each, i] <= own[rank - 1] + 1e-12
    held = sets[np.arange(len(y)), y]
    places = pd.DataFrame([wilson(held[site == each].sum(), (site == each).sum()) for each in np.unique(site)],
        index=np.unique(site))
    bars(places, f"How often the sets held what came out, site by site, {arm}", LEVEL)
    display(estimates({"single": by_site(sets.sum(axis=1) == 1, 1, site, share=True), "held": by_site(held, 1, site, share=True),
        **{outcome: by_site(held & (y == i), y == i, site, share=True) for i, outcome in enumerate(OUTCOMES)}}),
        pd.crosstab(y, sets.sum(axis=1)))

# %%
# 4, what more signals would bring: parts of the other sites drawn whole, twice each; and the early months against the later
def engine_jobs(study, asks):
    X, filled, y = study["X"], study["filled"], study["y"]
    if study["chosen"] == "forest": return in_parallel(delayed(forest)(filled, y, learn, filled[test]) for learn, test in asks)
    return in_parallel(delayed(logistic)(X, y, study["groups"], learn, X[test]) for learn, test in asks)
for arm, study in used_by.items():
    y, site = study["y"], study["site"]; asks, shares_ = [], []
    for share in (0.25, 0.5):
        for _, test in study["folds"]:
            others = np.setdiff1d(np.unique(site), site[test])
            for draw in range(2):
                order = rng.permutation(others); taken = max(1, round(share * len(others)))
                while len(np.unique(y[np.isin(site, order[:taken])])) < 2: taken += 1
                asks.append((np.flatnonzero(np.isin(site, order[:taken])), test)); shares_.append(share)
    months = log.month[study["at"]].values
    cut = min(np.unique(months)[1:], key=lambda month: abs((months < month).sum() - 2 / 3 * len(y)))
    early, late = np.flatnonzero(months < cut), np.flatnonzero(months >= cut)
    lasting = len(np.unique(site[late])) >= 3
    said, points = engine_jobs(study, [*asks, (early, late)] if lasting else asks), {}
    for share in (0.25, 0.5):
        loss = np.zeros(len(y))
        for (learn, test), p, each in zip(asks, said, shares_):
            if each == share: loss[test] -= np.log(p[np.arange(len(test)), y[test]]) / 2
        points[share] = (*by_site(loss, 1, site), np.mean([len(learn) for (learn, _),
            each in zip(asks, shares_) if each == share]))
    points[1] = (*by_site(study["losses"][study["chosen"]], 1, site), np.mean([len(learn) for learn, _ in study["folds"]]))
    points = pd.DataFrame(points, index=["loss", "low", "high", "signals"]).T
    fig, ax = plt.subplots()
    ax.errorbar(points.signals, points.loss, yerr=[points.loss - points.low, points.high - points.loss], fmt="o-")
    ax.set_title(f"Log loss against signals learnt from, {arm}")
    plt.show()
    recall = study["scores"][study["chosen"]]["recall masked-good"]; G = len(np.unique(site)); many = np.geomspace(1, 400, 2000)
    narrower = stats.t.ppf(0.975, np.maximum(1, many * G - 1)) / np.sqrt(many) / t_of(G - 1)
    more = [np.round((many[(narrower <= target).argmax()] - 1) * study["counts"][2])
        for target in (0.5, *(0.5 * np.sqrt(stats.chi2.ppf([0.975, 0.025], G - 1) / (G - 1))))]
    found_ = {"recall of masked goods": recall, "cases to halve it": more}
    if lasting:
        own, base = (-np.log(p[np.arange(len(late)), y[late]])
            for p in (said[-1], answered(np.zeros(len(y), int), y, early, late)))
        found_ |= {"later months": by_site(own, 1, site[late]), "under base rates": by_site(base - own, 1, site[late]),
            "above other sites": by_site(own - study["losses"][study["chosen"]][late], 1, site[late])}
    display(points, estimates(found_))

# %%
# 4, the 20 worst misses
for arm, study in used_by.items():
    worst = np.argsort(-study["losses"][study["chosen"]], kind="stable")[:20]; p = study["found"][study["chosen"]]
    display(log.loc[study["at"][worst], ["signal_id", "outcome", "readings_right", "readings_left",
        "readings_cross"]].assign(called=np.array(OUTCOMES)[p[worst].argmax(axis=1)],
        chance=p[worst, study["y"][worst]])[lambda each: each.called != each.outcome])

# %%
# 4, what the forest relies on: features and three groups, shuffled within unseen sites, 100 trees and five times (above 1,000
# signals 40 and once); only rows that change are asked
TOGETHER = {"the level, as a group": ["centre", "iron_share", "best_repeat"],
    "the scatter, as a group": ["spread", "asymmetry", "turn_change", "dropout"],
    "the depth, as a group": ["depth_cm", "depth_step"]}
def blinded(X, y, learn, test, site, groups, repeats, trees):
    model, draws, n = grown(X[learn], y[learn], trees), np.random.default_rng(int(test[0])), len(learn)
    plain, asked, rows, which = X[test], [], [], []
    order = np.argsort(site[test], kind="stable")
    for g, columns in enumerate(groups):
        for _ in range(repeats):
            given_, blind = np.empty(len(test), int), plain.copy()
            given_[order] = np.lexsort((draws.random(len(test)), site[test]))
            blind[:, columns] = plain[given_][:, columns]
            at = np.flatnonzero((blind != plain).any(axis=1))
            asked.append(blind[at])
            rows.append(at)
            which.append(np.full(len(at), g))
    rows, which = np.concatenate(rows), np.concatenate(which)
    before, after = chances(model, plain, n), chances(model, np.vstack(asked), n)
    growth = np.zeros((len(groups), len(test)))
    np.add.at(growth, (which, rows), np.log(before[rows, y[test][rows]] / after[np.arange(len(rows)), y[test][rows]]) / repeats)
    return growth, model
for arm, study in scored.items():
    names, repeats, trees = study["kept"], 1 if study["n"] > 1000 else 5, 40 if study["n"] > 1000 else 100
    groups_ = {name: [names.index(each) for each in members if each in names] for name,
        members in {**TOGETHER, **{name: [name] for name in names}}.items()}
    growth = np.zeros((len(groups_), study["n"]))
    parts = in_parallel(delayed(blinded)(study["filled"], study["y"], learn, test, study["site"], list(groups_.values()), repeats,
        trees) for learn, test in study["folds"])
    for (_, test), (part, _) in zip(study["folds"], parts): growth[:, test] = part
    study["fewer"] = [model for _, model in parts]
    relied = study["relied"] = estimates({name: by_site(row, 1, study["site"]) for name,
        row in zip(groups_, growth)}).sort_values("estimate")
    bars(relied, f"What the forest relies on, {arm}", 0); display(relied)

# %%
# 4, which way chances go with the two features relied on most: the same models of the folds, nine values
def depending(model, X, learn, test, columns, grids):
    asked = []
    for column, values in zip(columns, grids):
        for value in values: blind = X[test].copy(); blind[:, column] = value; asked.append(blind)
    return chances(model, np.vstack(asked), len(learn)).reshape(-1, len(test), 3)
for arm, study in scored.items():
    names = [name for name in study["relied"].index[::-1] if name in study["kept"]][:2]
    columns = [study["kept"].index(name) for name in names]
    grids = [np.unique(np.quantile(v[~np.isnan(v)], np.linspace(0.05, 0.95, 9), method="nearest"))
        for v in study["X"][:, columns].T]
    parts = [depending(model, study["filled"], learn, test, columns, grids) for model, (learn, test) in zip(study["fewer"],
        study["folds"])]
    sheet = np.zeros((sum(map(len, grids)), study["n"], 3))
    for (_, test), part in zip(study["folds"], parts): sheet[:, test] = part
    start = 0
    for name, column, values in zip(names, columns, grids):
        there, rows, fig_ax = ~np.isnan(study["X"][:, column]), [], plt.subplots()
        for value, p in zip(values, sheet[start:start + len(values)]):
            rows.append([value, *by_site((1 - p[:, 0]) * there, there, study["site"], share=True),
                *by_site(p[:, 2] * there, there, study["site"], share=True)])
        start += len(values); rows = np.array(rows)
        for k, label in ((1, "worth a hole"), (4, "masked good")):
            fig_ax[1].plot(rows[:, 0], rows[:, k], label=label)
            fig_ax[1].fill_between(rows[:, 0], rows[:, k + 1], rows[:, k + 2], alpha=0.2)
        fig_ax[1].legend()
        fig_ax[1].set_title(f"How the forest's chances go with {name}, {arm}")
        plt.show()
        display(pd.DataFrame(rows))

# %%
# 4, what the logistic model weighs, with errors over sites
for arm, study in scored.items():
    X, y, site = study["X"], study["y"], study["site"]; strength = penalty_of(X, y, study["groups"])
    Z = design(X)(X); model = LogisticRegression(C=1 / strength, max_iter=500).fit(Z, y); P = model.predict_proba(Z)
    Z1 = np.column_stack([np.ones(len(Z)), Z]); k = Z1.shape[1]; R = (np.eye(3)[y] - P)[:, 1:]
    H = np.block([[Z1.T @ (Z1 * (P[:, a] * ((a == b) - P[:, b]))[:, None]) for b in (1, 2)]
        for a in (1, 2)]) + strength * np.diag(np.tile(np.r_[1e-9, np.ones(k - 1)], 2))
    S = np.stack([(Z1[site == each].T @ R[site == each]).T.ravel() for each in np.unique(site)])
    bread = np.linalg.inv(H)
    G = len(S)
    error = np.sqrt(np.maximum(np.diag(bread @ (S.T @ S) @ bread) * G / (G - 1), np.diag(bread))); rows = {}
    for a, outcome in ((1, "non-ferrous"), (2, "masked-good")):
        value = model.coef_[a] - model.coef_[0]; reach = t_of(G - 1) * error[(a - 1) * k + 1:a * k]
        table = pd.DataFrame({"log odds": value, "low": value - reach, "high": value + reach})
        bars(table, f"{outcome} against ferrous, {arm}, penalty {strength}", 0)
        rows[outcome] = table
    display(pd.concat(rows))

# %%
# 4, what a dig rule costs
for arm, study in scored.items():
    at, site = study["at"], study["site"]
    goods = log.good_finds[at].values
    call, centre = f.own_call[at].values, f.centre[at].values
    chance = 1 - study.get("used", study["found"][study["chosen"]])[:, 0]
    study["rules"] = {"dig everything": np.ones(len(at), bool), "dig what I called good": call == 1,
        "dig all but what I called iron": call != 0, "dig above the iron break": centre >= study["machine"]["iron_break"]}
    rules = {**study["rules"], **{f"a good find worth {worth} holes": chance >= 1 / worth for worth in WORTHS}}
    display(pd.DataFrame([[name, digs.sum(), (goods * digs).sum(), *by_site(digs, digs * goods, site),
        *by_site(~digs, 1, site, share=True), *by_site(~digs * goods, goods, site, share=True)] for name, digs in rules.items()]))

# %%
# 4, the decision curve: twelve worths
ALONG = [1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 15, 20]
for arm, study in used_by.items():
    good, site, chance, rows = study["y"] > 0, study["site"], 1 - study["used"][:, 0], []
    for worth in ALONG:
        net = lambda digs: 100 * digs * np.where(good, 1, -1 / (worth - 1)); mine = net(chance >= 1 / worth)
        rows.append([worth, "model", *by_site(mine, 1, site), np.nan, np.nan, np.nan])
        for name, digs in study["rules"].items():
            if name != "dig all but what I called iron":
                rows.append([worth, name, *by_site(net(digs), 1, site), *by_site(mine - net(digs), 1, site)])
    rows = pd.DataFrame(rows, columns=["worth", "rule", "net", "low", "high", "gain", "gain low", "gain high"])
    fig, ax = plt.subplots()
    for name, line in rows.groupby("rule"):
        ax.plot(line.worth, line.net, label=name)
        ax.fill_between(line.worth, line.low, line.high, alpha=0.1)
    ax.set_xscale("log")
    ax.legend(fontsize=6)
    ax.set_title(f"What a rule nets, {arm}")
    plt.show()
    display(rows[rows.worth.isin(WORTHS)])

# %%
# 4, which of the others to dig: how many holes among those passed would tell
for arm, part in chosen_arms.items():
    called = part[part.my_call == "iron"] if (part.my_call != "").any() else part[
        f.centre[part.index] < machine_of(part)["iron_break"]]
    holes, passed = called[called.known], (called.dug == "no").sum()
    value, low, high = by_site(holes.outcome != "ferrous", 1, holes.site_code, share=True)
    rows = []
    for worth in WORTHS:
        z, pays = 1.959964, 1 / worth; least = int(z**2 * (worth - 1)) + 1
        needed = np.ceil(z**2 * max(value * (1 - value), pays * (1 - pays)) / max((value - pays) ** 2, 1e-9)) - len(holes)
        advice, many = ("learn", least) if np.isnan(value) else ("dig them", passed) if low >= pays else ("pass",
            least) if high < pays else ("learn", max(needed, least))
        rows.append([worth, advice, min(many, passed), passed // many if 0 < many < passed else 1])
    display(Markdown(f"{arm}: {passed} passed, {len(holes)} dug, good {value:.2f}"), pd.DataFrame(rows))

# %%
# 4, predictions of every engine
tables = []
for arm, study in scored.items():
    said = {**study["found"]}
    if study.get("used") is not study["found"][study["chosen"]]: said[study["chosen"] + ", corrected"] = study["used"]
    for name, p in said.items():
        tables.append(pd.DataFrame(p.round(6), columns=OUTCOMES).assign(model=name, fold=study["fold"] + 1,
            signal=log.signal_id[study["at"]].values, outcome=log.outcome[study["at"]].values))
pd.concat(tables).to_csv("predictions.csv", index=False)
print("studies", len(scored), "signals", len(log), "trials", len(trials), "half gaps", len(half))
