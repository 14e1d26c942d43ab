"""Write information.csv: what readings tell, in bits, by SciPy 1.16.3.

    pip install scipy==1.16.3
    python tests/reference/information.py > tests/reference/information.csv
"""

import math
from importlib.metadata import version

from scipy.integrate import quad
from scipy.stats import entropy, norm

assert version("scipy") == "1.16.3", "information.csv is defined by SciPy 1.16.3"

# Three hypotheses and four things that may be read.
JOINT = [
    [0.10, 0.05, 0.20, 0.00],
    [0.02, 0.18, 0.03, 0.07],
    [0.15, 0.00, 0.05, 0.15],
]


def of_bells(bells):
    """Mutual information of which hypothesis holds and a number, by the integral over the number.

    Each of `bells` is (weight, mean, deviation), a hypothesis each."""

    def told(x):
        parts = [weight * norm.pdf(x, mean, deviation) for weight, mean, deviation in bells]
        whole = sum(parts)
        terms = zip(parts, bells)
        return sum(p * math.log2(p / (whole * b[0])) for p, b in terms if p > 1e-300)

    ends = [mean + side * 12 * deviation for _, mean, deviation in bells for side in (-1, 1)]
    first, last = math.floor(min(ends)), math.ceil(max(ends))
    pieces = [quad(told, at, at + 1, epsabs=1e-13) for at in range(first, last)]
    assert sum(error for _, error in pieces) < 1e-10
    return sum(bits for bits, _ in pieces)


print("# Made by information.py with SciPy", version("scipy"))
print("what,a,b,bits")
flat = [cell for row in JOINT for cell in row]
rows = [sum(row) for row in JOINT]
columns = [sum(row[i] for row in JOINT) for i in range(4)]
both, hypotheses, read = (entropy(one, base=2) for one in (flat, rows, columns))
for index, row in enumerate(JOINT):
    print("joint-row", index, " ".join(map(str, row)), 0, sep=",")
print("joint-together", "", "", f"{both:.12g}", sep=",")
print("joint-hypotheses", "", "", f"{hypotheses:.12g}", sep=",")
print("joint-mutual", "", "", f"{hypotheses + read - both:.12g}", sep=",")
# Two normals of deviation 1 at even odds, so far apart.
for distance in (0.1, 0.5, 1, 1.5, 2, 3, 4, 6):
    bits = of_bells([(0.5, 0, 1), (0.5, distance, 1)])
    print("pair", distance, 1, f"{bits:.12g}", sep=",")
# The other one of another deviation.
for distance, deviation in ((0, 2), (1, 3), (2, 0.5)):
    bits = of_bells([(0.5, 0, 1), (0.5, distance, deviation)])
    print("pair", distance, deviation, f"{bits:.12g}", sep=",")
# Four hypotheses of these weights, each so far from the next.
for distance in (0.5, 1, 2, 4):
    weights = (0.1, 0.2, 0.3, 0.4)
    bits = of_bells([(weight, distance * i, 1) for i, weight in enumerate(weights)])
    print("four", distance, 1, f"{bits:.12g}", sep=",")
