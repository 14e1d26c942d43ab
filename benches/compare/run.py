#!/usr/bin/env python3
"""Property look-ups and a steady cycle: ours beside CoolProp and TESPy, in one run.

    python3 benches/compare/run.py

Needs cargo, a C compiler and PyPI; everything it installs goes into a temporary folder.
`cargo bench --bench fluid` measures ours and writes out the points it used; measure.py
then gives the same points to CoolProp, called from C. Of every figure it is the best round
that counts, so other work on the machine disturbs little; still, leave it alone meanwhile.
"""

import json
import os
import pathlib
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
PACKAGES = ["CoolProp==8.0.0", "tespy==0.11.3"]
FLUIDS = ["R-134a", "R-1234yf"]


def best(target, group, bench):
    """The best of criterion's samples, in seconds: of theirs the best round is taken too."""
    path = target / "criterion" / group / bench / "new" / "sample.json"
    sample = json.loads(path.read_text())
    return 1e-9 * min(time / rounds for time, rounds in zip(sample["times"], sample["iters"]))


def measure_ours(work):
    environment = dict(os.environ, COLDTRAIL_POINTS=str(work))
    subprocess.run(["cargo", "bench", "--quiet", "--bench", "fluid"], cwd=ROOT,
                   env=environment, check=True, stdout=subprocess.DEVNULL,
                   stderr=subprocess.DEVNULL)
    metadata = subprocess.run(
        ["cargo", "metadata", "--no-deps", "--format-version", "1"],
        cwd=ROOT, check=True, capture_output=True, text=True)
    target = pathlib.Path(json.loads(metadata.stdout)["target_directory"])
    ours = {}
    for fluid in FLUIDS:
        group = f"1024 states of {fluid}"
        ours[fluid] = {
            "table": best(target, group, "fast table, at random") / 1024,
            "equation": best(target, group, "full equation") / 1024,
            "cycle": best(target, f"steady cycle of {fluid}", ""),
        }
    (work / "ours.json").write_text(json.dumps(ours))


def main():
    with tempfile.TemporaryDirectory() as folder:
        work = pathlib.Path(folder)
        subprocess.run([sys.executable, "-m", "venv", work / "venv"], check=True)
        python = work / "venv" / "bin" / "python"
        subprocess.run([python, "-m", "pip", "install", "--quiet", *PACKAGES], check=True)
        include = subprocess.run(
            [python, "-c", "import CoolProp; print(CoolProp.__path__[0] + '/include')"],
            check=True, capture_output=True, text=True).stdout.strip()
        subprocess.run([os.environ.get("CC", "cc"), "-O2", "-shared", "-fPIC", f"-I{include}",
                        HERE / "coolprop_loop.c", "-o", work / "coolprop_loop.so"], check=True)
        measure_ours(work)
        # CoolProp keeps the tables it builds in the home folder.
        environment = dict(os.environ, HOME=folder)
        subprocess.run([python, HERE / "measure.py", work], env=environment, check=True)


if __name__ == "__main__":
    main()
