#!/usr/bin/env python3
"""Checks the engine's court against an independent geometry library.

Random spaces, courts and set-out errors are made here; the engine answers
through the court-check program; shapely (GEOS) judges the answers:

- a court lies inside its space with its run-off, and keeps every minimum;
- no court one percent larger fits: for every whole degree of turn the exact
  set of places where such a court fits (a Minkowski erosion) is empty;
- tape steps, carried out with rounded lengths one after the other, put every
  mark within 1 cm of its place;
- a square that leans by 1 to 30 cm is found, and the way back.

    tests/court/check.py --count 300 --seed 1

The last line is "N passed, N failed"; the exit code is 1 when any failed.
"""

import argparse
import importlib.util
import json
import os
import random
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
HOME = TARGET / "court-check-venv"
PINNED = (ROOT / "tests" / "requirements.txt").read_text().split()
SHAPELY = next(p for p in PINNED if p.startswith("shapely=="))


def own_python():
    """Runs this script again in an environment that has shapely."""
    if importlib.util.find_spec("shapely"):
        return
    python = HOME / "bin" / "python"
    if not (HOME / "ready").exists():
        subprocess.run([sys.executable, "-m", "venv", HOME], check=True)
        pip = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
        subprocess.run([*pip, SHAPELY], check=True)
        (HOME / "ready").write_text(SHAPELY)
    os.execv(python, [str(python), *sys.argv])


own_python()

from engine_process import Engine  # noqa: E402
from fit_check import check_fit, random_space  # noqa: E402
from tape_check import check_closing, check_set_out  # noqa: E402


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=200, help="random spaces")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--step", type=float, default=1.0, help="degrees between turns")
    args = parser.parse_args()
    engine = Engine(ROOT, TARGET)
    passed = failed = 0
    slowest = 0.0
    kinds = {}
    start = time.time()

    def judge(name, case, wrong):
        nonlocal passed, failed
        if wrong:
            failed += 1
            print(f"FAILED {name}: {'; '.join(wrong)}\n    {json.dumps(case)}", flush=True)
        else:
            passed += 1

    for i in range(args.count):
        rng = random.Random(f"{args.seed}/{i}")
        ask = random_space(rng)
        answer = engine.ask(ask)
        wrong, kind = check_fit(ask, answer, rng, args.step)
        judge(f"fit {i}", ask, wrong)
        kinds[kind] = kinds.get(kind, 0) + 1
        slowest = max(slowest, answer.get("ms", 0.0))
        for name, check in (
            ("set-out", check_set_out),
            ("closing", check_closing),
        ):
            ask, wrong = check(engine, rng)
            judge(f"{name} {i}", ask, wrong)
    print(f"seed {args.seed}, kinds {kinds}, slowest fit {slowest:.1f} ms, {time.time() - start:.0f} s")
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed or not passed else 0)


if __name__ == "__main__":
    main()
