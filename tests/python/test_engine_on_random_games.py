"""The engine plays random games whose expects the second telling worked out."""
import os
import random
import re
import subprocess
import sys

TESTS = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
sys.path.insert(0, os.path.join(TESTS, "enumerate"))

import random_games  # noqa: E402

GAMES = int(os.environ.get("CHALKBOOK_RANDOM_GAMES", "400"))
SEED = os.environ.get("CHALKBOOK_RANDOM_SEED", "1")


def written(folder, count):
    paths = []
    for i in range(count):
        path = folder / f"{SEED}-{i:05}.scn"
        path.write_text(random_games.Writer(random.Random(f"{SEED}/{i}")).write(),
                        encoding="utf-8")
        paths.append(str(path))
    return paths


def play(paths):
    done = subprocess.run(["cargo", "xtask", "scenario", *paths], text=True,
                          cwd=os.path.dirname(TESTS), capture_output=True, check=False)
    counts = re.search(r"(\d+) passed, (\d+) failed\s*\Z", done.stdout)
    assert counts, done.stdout[-2000:] + done.stderr[-2000:]
    return done, int(counts[1]), int(counts[2])


def test_the_engine_agrees_on_every_random_game(tmp_path):
    done, passed, failed = play(written(tmp_path, GAMES))
    assert failed == 0 and done.returncode == 0, f"seed {SEED}\n{done.stdout[:4000]}"
    assert passed > 50 * GAMES


def test_a_changed_score_is_found(tmp_path):
    path = written(tmp_path, 1)[0]
    with open(path, encoding="utf-8") as f:
        text = f.read()
    with open(path, "w", encoding="utf-8") as f:
        f.write(re.sub(r"score (\d+)-", lambda m: f"score {int(m[1]) + 1}-", text, count=1))
    done, _, failed = play([path])
    assert failed == 1 and done.returncode == 1
