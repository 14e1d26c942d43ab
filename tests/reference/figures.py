"""Write figures.csv and figures_marks.csv: figures about tasks and forms, by published libraries.

    pip install scipy==1.16.3 pingouin==0.7.0 girth==0.8.0 statsmodels==0.15.0
    python tests/reference/figures.py tests/reference

The marks are made here: 60 people of normal ability on 12 tasks. What is checked is that the same
figures come out of them.
"""

import sys
from importlib.metadata import version
from pathlib import Path

import girth
import numpy as np
import pandas as pd
import pingouin
from scipy import integrate, optimize, stats
from statsmodels.stats.proportion import proportion_confint

VERSIONS = {"scipy": "1.16.3", "pingouin": "0.7.0", "girth": "0.8.0", "statsmodels": "0.15.0"}
for name, wanted in VERSIONS.items():
    assert version(name) == wanted, f"figures.csv is defined by {name} {wanted}"
MADE_BY = "# Made by figures.py with " + ", ".join(f"{n} {v}" for n, v in VERSIONS.items())
FOLDER = Path(sys.argv[1])
out = (FOLDER / "figures.csv").open("w")
print(MADE_BY, file=out)
print("what,a,b,c,d,value", file=out)


def row(what, value, *given):
    given = [str(one) for one in given] + [""] * (4 - len(given))
    print(what, *given, f"{value:.12g}", sep=",", file=out)


rng = np.random.default_rng(11)
ability = rng.normal(0, 1, 60)
hard = np.linspace(-1.2, 1.4, 12)
marks = 60 + 22 * (ability[:, None] - hard[None, :]) + rng.normal(0, 22, (60, 12))
marks = np.clip(np.round(marks), 0, 100).astype(int)
rights = (marks >= 60).astype(int)
with (FOLDER / "figures_marks.csv").open("w") as table:
    print(MADE_BY, file=table)
    print("# A row for each person, a column for each task: the mark. From 60 on it counts as right.", file=table)
    for person in marks:
        print(*person, sep=",", file=table)

# Tasks.
totals = marks.sum(axis=1)
order = np.sort(totals)
size = round(0.27 * 60)
assert order[size - 1] < order[size] and order[-size] > order[-size - 1], "no ties at the edges"
best, worst = totals >= order[-size], totals <= order[size - 1]
for task in range(12):
    rest = totals - marks[:, task]
    row("share-right", rights[:, task].mean(), task)
    row("mean-mark", marks[:, task].mean(), task)
    row("deviation", marks[:, task].std(ddof=1), task)
    found = stats.pearsonr(marks[:, task], rest)
    ends = found.confidence_interval(0.95)
    row("discrimination", found.statistic, task)
    row("discrimination-low", ends.low, task)
    row("discrimination-high", ends.high, task)
    row("point-biserial", stats.pointbiserialr(rights[:, task], rest).statistic, task)
    row("upper-lower", rights[best, task].mean() - rights[worst, task].mean(), task)
difficulty = girth.rasch_conditional(rights.T)["Difficulty"]


def log_likelihood(logits):
    """Of the rights given how many each person has, with numpy's polynomials."""
    ease = np.exp(-logits)
    symmetric = np.poly(-ease)
    return -(rights @ logits).sum() - np.log(symmetric[rights.sum(axis=1)]).sum()


# girth's search ends at some ten-thousandths of a logit; SciPy's goes on from there, on a likelihood
# that is written out here.
at = optimize.root(lambda x: optimize.approx_fprime(x, log_likelihood, 1e-6) + x.sum(), difficulty - difficulty.mean(), tol=1e-12).x
assert abs(at - (difficulty - difficulty.mean())).max() < 5e-4 and abs(at.sum()) < 1e-4
for task in range(12):
    row("rasch", at[task] - at.mean(), task)
# Standard errors from the curvature there, by differences.
h, eye = 1e-3, np.eye(12)
corner = lambda i, j, a, b: log_likelihood(at + h * (a * eye[i] + b * eye[j]))
curvature = [[(corner(i, j, 1, 1) - corner(i, j, 1, -1) - corner(i, j, -1, 1) + corner(i, j, -1, -1)) / (4 * h * h) for j in range(12)] for i in range(12)]
for task, error in enumerate(np.sqrt(np.diag(np.linalg.pinv(-np.array(curvature), rcond=1e-6)))):
    row("rasch-error", error, task)

# Forms. pingouin rounds the ends of its interval to three digits.
for what, table in (("alpha", marks), ("kr20", rights)):
    alpha, (low, high) = pingouin.cronbach_alpha(pd.DataFrame(table))
    row(what, alpha)
    row(what + "-low", low)
    row(what + "-high", high)
row("mean-of-means", marks.mean())
row("deviation-of-means", marks.mean(axis=1).std(ddof=1))
row("standard-error", marks.mean(axis=1).std(ddof=1) * np.sqrt(1 - pingouin.cronbach_alpha(pd.DataFrame(marks))[0]))
# The worked example of pingouin's page, after real-statistics.com: 0.5917 (0.195 to 0.84).
likert = pingouin.read_dataset("cronbach_alpha").pivot(index="Subj", columns="Items", values="Scores")
assert pingouin.cronbach_alpha(likert)[0] == 0.5917188485995826
for person in likert.to_numpy():
    row("likert", len(person), " ".join(map(str, person)))

# Distributions.
for a, b, x in ((0.5, 0.5, 0.1), (2, 3, 0.5), (7.5, 0.8, 0.95), (40, 60, 0.35), (300, 700, 0.33), (1, 12, 0.001)):
    row("beta-below", stats.beta.cdf(x, a, b), a, b, x)
for share, one, other in ((0.025, 59, 649), (0.975, 59, 649), (0.5, 3, 8), (0.025, 2, 4), (0.975, 1, 1)):
    row("f-above", stats.f.isf(share, one, other), share, one, other)

# The pass decision: people's true shares are beta-distributed, and integrated over here.
for mean, deviation, alpha, cut in (
    (0.62, 0.15, 0.8, 0.60),
    (0.75, 0.10, 0.6, 0.65),
    (0.50, 0.20, 0.9, 0.70),
    (0.85, 0.08, 0.4, 0.60),
):
    true = alpha * deviation**2
    n = round((mean * (1 - mean) - true) / (deviation**2 * (1 - alpha)))
    both = mean * (1 - mean) / true - 1
    people = stats.beta(mean * both, (1 - mean) * both)
    needed = int(np.ceil(n * cut - 1e-9))
    passes = lambda p: stats.binom.sf(needed - 1, n, p)
    over = lambda f, a, b: integrate.quad(lambda p: f(p) * people.pdf(p), a, b, epsabs=1e-12, limit=500)[0]
    false_pass, false_fail = over(passes, 0, cut), over(lambda p: 1 - passes(p), cut, 1)
    together = over(lambda p: passes(p) ** 2 + (1 - passes(p)) ** 2, 0, 1)
    share = stats.betabinom.sf(needed - 1, n, mean * both, (1 - mean) * both)
    chance = share**2 + (1 - share) ** 2
    given = (mean, deviation, alpha, cut)
    row("decision-tasks", n, *given)
    row("decision-consistency", together, *given)
    row("decision-kappa", (together - chance) / (1 - chance), *given)
    row("decision-false-pass", false_pass, *given)
    row("decision-false-fail", false_fail, *given)

# A panel of six judges on five tasks.
panel = np.array([[60, 70, 45, 80, 55], [65, 75, 50, 70, 60], [50, 72, 40, 85, 52], [62, 66, 55, 78, 58], [70, 80, 48, 75, 66], [58, 69, 42, 82, 50]])
for judge, ratings in enumerate(panel):
    for task, rating in enumerate(ratings):
        row("rating", rating, judge, task)
row("cut", panel.mean())
row("cut-error", stats.sem(panel.mean(axis=1)))
for task in range(5):
    row("judges-apart", panel[:, task].std(ddof=1), task)

# Versions of a slot: one-way random effects from the F test.
versions = [marks[:20, 3], marks[20:35, 3], marks[35:, 3] * 0.5]
counts = np.array([len(one) for one in versions])
ratio = stats.f_oneway(*versions).statistic
inside = sum(((one - one.mean()) ** 2).sum() for one in versions) / (counts.sum() - 3)
each = (counts.sum() - (counts**2).sum() / counts.sum()) / 2
row("versions-deviation", np.sqrt((ratio - 1) * inside / each))

# A learner's confidences.
stated = np.round(rng.uniform(0, 1, 80), 2)
so = rng.uniform(0, 1, 80) < 0.2 + 0.6 * stated
for one, was in zip(stated, so):
    row("stated", one, int(was))
bins = np.minimum(np.floor(stated * 5 + 1e-10).astype(int), 4)
base = so.mean()
row("brier", ((stated - so) ** 2).mean())
row("curve-uncertainty", base * (1 - base))
groups = [(stated[bins == b], so[bins == b]) for b in range(5)]
row("curve-reliability", sum(len(s) * (s.mean() - o.mean()) ** 2 for s, o in groups) / 80)
row("curve-resolution", sum(len(s) * (o.mean() - base) ** 2 for s, o in groups) / 80)
# Stephenson's two terms, each by numpy's own covariance within a bin.
row("curve-within", sum(len(s) * (s.var() - 2 * np.cov(s, o, ddof=0)[0, 1]) for s, o in groups) / 80)
for b, (s, o) in enumerate(groups):
    low, high = proportion_confint(o.sum(), len(o), method="wilson")
    row("bin-so", o.mean(), b)
    row("bin-low", low, b)
    row("bin-high", high, b)
