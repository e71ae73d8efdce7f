"""The second telling of the rules in Python, held against its own texts.

The engine plays the same scenario files and is compared with the same table
of counts by the Rust tests; here the Python side proves that it still says
what those files say.
"""
import glob
import itertools
import json
import os
import random
import sys

import pytest

TESTS = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
sys.path.insert(0, os.path.join(TESTS, "enumerate"))

import enumerate as brute  # noqa: E402  (the enumerator, not the builtin)
import model  # noqa: E402
import random_games  # noqa: E402

SCENARIOS = sorted(glob.glob(os.path.join(TESTS, "scenarios", "*.scn")))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: os.path.basename(p)[:-4])
def test_the_model_agrees_with_the_scenario(path):
    passed, failed = model.check_file(path)
    assert not failed and passed


def test_the_kept_counts_are_counted_again():
    with open(brute.FILE, encoding="utf-8") as f:
        assert [json.loads(line) for line in f] == list(brute.table())


@pytest.mark.parametrize("outs, occupied", [
    (outs, bases) for outs in range(3) for n in range(3)
    for bases in itertools.combinations((1, 2, 3), n)])
def test_two_judges_allow_the_same_calls(outs, occupied):
    allowed = set(brute.legal(outs, occupied))
    for batter in brute.batter_calls():
        for choice in itertools.product(*(brute.runner_calls(b) for b in occupied)):
            fates = tuple(zip(occupied, choice))
            for answer in brute.answers():
                if answer == 0 and (batter, fates, None) in allowed:
                    continue            # the same call, with the needless word
                line = brute.written(batter, fates, answer)
                try:
                    model.judge(outs, {b: b for b in occupied}, model.read_play(line))
                    legal = True
                except model.Refused:
                    legal = False
                assert legal == ((batter, fates, answer) in allowed), line


def test_random_games_end_and_prove(tmp_path):
    for i in range(200):
        writer = random_games.Writer(random.Random(f"prove/{i}"))
        text = writer.write()
        path = tmp_path / f"{i}.scn"
        path.write_text(text, encoding="utf-8")
        seen = writer.record.seen()
        assert seen["over"] != "no", i
        assert seen["over"] == "forfeit" or seen["proof"] == "0-0", i
        assert model.check_file(path)[1] == []


def test_a_wrong_expect_is_found(tmp_path):
    path = tmp_path / "wrong.scn"
    path.write_text("edition federation\nguest 1 2 3 4 5\nhome 1 2 3 4 5\n"
                    "safe 1\nexpect outs 1, due 2\nout\nrefused\n", encoding="utf-8")
    passed, failed = model.check_file(path)
    assert passed == 1 and len(failed) == 2
