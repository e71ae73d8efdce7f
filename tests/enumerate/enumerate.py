"""Counts the legal call sequences of a game by brute force.

Every call of the alphabet below is written down (a cartesian product), then
judged; nothing is skipped cleverly. The engine lists its legal calls the
other way round, so equal counts mean that both read the rules alike.

Alphabet, every fate named, no defaults:
  batter   safe N (hit, N 1 to 4); safe N then to M error (N < M <= 4);
           safe N then out M tagged (N <= M <= 4, N below 4); out; caught;
           illegal no-hit-zone; no-hit
  runner   holds; to N hit (N ahead of the own base); to N then to M error
  on B     (B < N < M <= 4); to N then out at M tagged (B < N <= M <= 4, N below
           4); out at M tagged (B <= M <= 4); out at M missed (B < M <= 4);
           out at B+1 forced; out at B not-back; out left-early; out passed;
           out shared
  answer   none; or, at a third out that is not all force with K >= 1 people
           home who were ahead of the rearmost one put out without a force:
           0 runs count, 1 runs count, ... K runs count, each its own call.
           A tag of one who had to run, short of the next base, is a force
           while the batter and all runners behind are safe; so is an out on a
           shared base. An appeal at the base forced to is a force. Who left
           early was out before the hit: forces nobody, and as the third out ends
           all; then, and without a hit, the batter's turn is not used up
A position in which the batter due stands on third has no legal call of this
alphabet (the notice `runner third by N` is none), nor has a finished game.

Start positions are scenario lines (tests/scenarios has the form): the head,
the plays that lead there, an `expect` that states it. `expected.json` holds
one object a line:
  {"start": name, "scenario": [lines]}
  {"start": name, "depth": d, "count": sequences of d legal calls}
  {"start": name, "position": text after one call, "calls": how many lead there,
   "replies": legal calls from there}
The text after one call is `inning I top|bottom, outs O, bases ..., score G-H,
due N, over ...`, as `expect` has it.

  enumerate.py            writes expected.json beside this file
  enumerate.py --check    counts again and compares; exit 1 when they differ
  enumerate.py --cross    also judges each call by model.py, written apart
"""
import functools
import itertools
import json
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
FILE = os.path.join(HERE, "expected.json")
GUESTS, HOMES = (21, 22, 23, 24, 25), (11, 12, 13, 14, 15)
HEAD = ["edition federation", "guest 21 22 23 24 25", "home 11 12 13 14 15"]
OUT3 = ["out"] * 3

# name, plays that lead there, the position as `expect` has it, depth counted
STARTS = [
    ("opening", [],
     "inning 1 top, outs 0, bases empty, score 0-0, due 21, over no", 4),
    ("first-and-second", ["safe 1", "safe 1"],
     "inning 1 top, outs 0, bases 1:22 2:21, score 0-0, due 23, over no", 1),
    ("loaded-nobody-out", ["safe 1", "safe 1", "safe 1"],
     "inning 1 top, outs 0, bases 1:23 2:22 3:21, score 0-0, due 24, over no", 1),
    ("loaded-one-out", ["out", "safe 1", "safe 1", "safe 1"],
     "inning 1 top, outs 1, bases 1:24 2:23 3:22, score 0-0, due 25, over no", 1),
    ("loaded-two-out", ["out", "out", "safe 1", "safe 1", "safe 1"],
     "inning 1 top, outs 2, bases 1:25 2:24 3:23, score 0-0, due 21, over no", 2),
    ("corners-two-out", ["out", "out", "safe 3", "safe 1 | 3 holds"],
     "inning 1 top, outs 2, bases 1:24 3:23, score 0-0, due 25, over no", 2),
    ("second-and-third-one-out", ["safe 1", "safe 2", "out"],
     "inning 1 top, outs 1, bases 2:22 3:21, score 0-0, due 24, over no", 1),
    ("third-only", ["safe 3"],
     "inning 1 top, outs 0, bases 3:21, score 0-0, due 22, over no", 2),
    ("batter-due-on-third", ["safe 1", "safe 1", "safe 1", "out", "out"],
     "inning 1 top, outs 2, bases 1:23 2:22 3:21, score 0-0, due 21, over no", 2),
    ("fourth-lead-of-ten", ["safe 4"] * 10 + OUT3 * 7 + ["out", "out"],
     "inning 4 bottom, outs 2, bases empty, score 10-0, due 12, over no", 3),
    ("fifth-tied-two-out", OUT3 * 9 + ["out", "out", "safe 2"],
     "inning 5 bottom, outs 2, bases 2:15, score 0-0, due 11, over no", 3),
    ("fifth-top-home-ahead",
     OUT3 + ["safe 4"] + OUT3 * 7 + ["out", "out", "safe 1"],
     "inning 5 top, outs 2, bases 1:25, score 0-1, due 21, over no", 3),
    ("sixth-opens", OUT3 * 10,
     "inning 6 top, outs 0, bases 1:25, score 0-0, due 21, over no", 2),
    ("seventh-bottom-behind", OUT3 * 12 + ["safe 1 | 2 to 4, 1 to 2"] + OUT3,
     "inning 7 bottom, outs 0, bases 1:13 2:12, score 1-0, due 14, over no", 1),
    ("eighth-opens", OUT3 * 14,
     "inning 8 top, outs 0, bases 1:21 2:25 3:24, score 0-0, due 22, over no", 1),
]


# ---- the alphabet -------------------------------------------------------------
def batter_calls():
    for n in range(1, 5):
        yield ("safe", n)
    for n, m in itertools.combinations(range(1, 5), 2):
        yield ("safe-on", n, m)
    for n, m in itertools.combinations_with_replacement(range(1, 5), 2):
        yield ("safe-out", n, m)
    yield ("out",)
    yield ("caught",)
    yield ("illegal",)
    yield ("no-hit",)


def runner_calls(base):
    yield ("holds",)
    for n in range(1, 5):
        yield ("to", n)
    for n, m in itertools.combinations(range(1, 5), 2):
        yield ("to-on", n, m)
    for n, m in itertools.combinations_with_replacement(range(1, 5), 2):
        yield ("to-out", n, m)
    for m in range(1, 5):
        yield ("tagged", m)
        yield ("missed", m)
    for how in ("left-early", "passed", "shared"):
        yield (how,)
    yield ("forced", base + 1)
    yield ("not-back", base)


def answers():
    return (None, 0, 1, 2, 3)


def written(batter, fates, answer):
    """The call as a scenario line."""
    text = {"safe": "safe {} hit", "safe-on": "safe {} hit then to {} error",
            "safe-out": "safe {} hit then out {} tagged",
            "out": "out", "caught": "caught", "no-hit": "no-hit",
            "illegal": "illegal no-hit-zone"}[batter[0]].format(*batter[1:])
    form = {"holds": "holds", "to": "to {} hit", "to-on": "to {} hit then to {} error",
            "to-out": "to {} then out at {} tagged",
            "tagged": "out at {} tagged", "missed": "out at {} missed",
            "forced": "out at {} forced", "not-back": "out at {} not-back",
            "left-early": "out left-early", "passed": "out passed", "shared": "out shared"}
    runners = ", ".join(f"{b} " + form[f[0]].format(*f[1:]) for b, f in fates)
    tail = "" if answer is None else f" ; {answer} runs count"
    return text + (" | " + runners if runners else "") + tail


# ---- the judge: one law a line ---------------------------------------------------
OUTS = ("safe-out", "out", "caught", "illegal", "to-out", "tagged", "forced", "not-back",
        "missed", "left-early", "passed", "shared")


def lawful_but_for_answer(outs, batter, fates):
    """Whether the fates fit, and the answers that the call may carry."""
    people = [(0, batter)] + list(fates)            # from behind, as they run
    put_out = [(b, f) for b, f in people if f[0] in OUTS]
    early = {b for b, f in people if f[0] == "left-early"}
    stay = [(b, f[-1] if f[0] in ("safe", "to", "safe-on", "to-on") else b)
            for b, f in people if f[0] not in OUTS and f[0] != "no-hit"]
    taken = {b for b, _ in fates} - early
    home = [b for b, end in stay if end == 4]
    came = batter[0] in ("safe", "safe-on", "safe-out")

    def bases_of_each_fate_are_in_order():
        return all(f[1] > b for b, f in fates if f[0] in ("to", "to-on", "to-out", "missed")
                   ) and all(f[1] >= b for b, f in fates if f[0] == "tagged") and all(
            f[1] < 4 for _, f in people if f[0] in ("safe-out", "to-out"))

    def a_dead_ball_moves_nobody():
        return batter[0] not in ("illegal", "no-hit") or all(
            f[0] in ("holds", "left-early") for _, f in fates)

    def nobody_is_alone_in_a_crowd():
        everyone = {b for b, _ in fates}
        return all(max(everyone) > b for b, f in fates if f[0] == "passed") and all(
            came or len(everyone) > 1 for _, f in fates if f[0] == "shared")

    def only_a_catch_sends_back():
        return batter[0] == "caught" or all(f[0] != "not-back" for _, f in fates)

    def forced_means_no_way_out():
        return all((came or batter[0] == "out")
                   and taken >= set(range(1, b))
                   for b, f in fates if f[0] == "forced")

    def nobody_shares_or_passes():
        return all(front == 4 or front > back
                   for (_, back), (_, front) in itertools.combinations(stay, 2))

    def nobody_ends_behind_one_put_out_behind_him():
        place = [(b, f[-1]) for b, f in put_out
                 if f[0] in ("safe-out", "to-out", "tagged", "forced", "not-back", "missed")]
        return all(end >= at for b, at in place for ahead, end in stay if ahead > b)

    def three_outs_at_most():
        return outs + len(put_out) <= 3

    def by_force(base, fate):
        pushed_on = taken.issuperset(range(1, base)) and (came or batter[0] == "out")
        if fate[0] == "missed":
            return pushed_on and fate[1] == base + 1
        last_of_all = min(b for b, _ in put_out) == base
        return fate[0] in ("out", "forced") or (
            fate[0] in ("tagged", "shared") and sum(fate[1:2]) - base < 2
            and pushed_on and last_of_all)

    def fitting_answers():
        if outs + len(put_out) < 3 or outs + len(early) == 3:
            return {None}
        open_outs = [b for b, f in put_out if not by_force(b, f) and b not in early]
        if batter[0] in ("caught", "illegal"):      # first in time
            open_outs.remove(0)
        ahead = [b for b in home if open_outs and b > min(open_outs)]
        return set(range(len(ahead) + 1)) if ahead else {None}

    if (three_outs_at_most() and bases_of_each_fate_are_in_order()
            and a_dead_ball_moves_nobody() and nobody_is_alone_in_a_crowd()
            and only_a_catch_sends_back() and forced_means_no_way_out()
            and nobody_shares_or_passes()
            and nobody_ends_behind_one_put_out_behind_him()):
        return fitting_answers()
    return set()


# Bases and outs decide what is legal; the people do not. One sweep for each.
@functools.lru_cache(None)
def legal(outs, occupied):
    """Every legal call: (batter, fates, answer)."""
    return [(batter, fates, answer)
            for batter in batter_calls()
            for choice in itertools.product(*(runner_calls(b) for b in occupied))
            for fates in [tuple(zip(occupied, choice))]
            for fitting in [lawful_but_for_answer(outs, batter, fates)]
            for answer in answers() if answer in fitting]


# ---- what a call leads to -------------------------------------------------------
# A position: inning, side, outs, who is on 1st 2nd 3rd, due place of each
# side, score of each side, over. People are places 0 to 4 in the order.
OPENING = (1, 0, 0, (None, None, None), (0, 0), (0, 0), "no")


def calls(pos):
    _, side, outs, bases, due, _, over = pos
    if over != "no" or due[side] in bases:
        return []
    return legal(outs, tuple(b + 1 for b in range(3) if bases[b] is not None))


def after(pos, call):
    inning, side, outs, bases, due, score, _ = pos
    batter, fates, answer = call
    who = [due[side], *bases]
    new, runs, out = [None] * 3, 0, 0
    early = sum(f[0] == "left-early" for _, f in fates)
    hit = batter[0] != "no-hit" and outs + early < 3
    for b, f in ((0, batter),) + fates:
        if f[0] in OUTS:
            out += 1
        elif f[0] != "no-hit":
            end = f[-1] if f[0] in ("safe", "to", "safe-on", "to-on") else b
            if end == 4:
                runs += 1
            else:
                new[end - 1] = who[b]
    outs += out
    if answer is not None:
        runs = answer
    elif outs == 3:
        runs = 0
    score = tuple(s + runs * (i == side) for i, s in enumerate(score))
    due = tuple((d + (i == side and hit)) % 5 for i, d in enumerate(due))
    if side == 1 and inning >= 5 and score[1] > score[0]:
        return (inning, side, outs, tuple(new), due, score, "walk-off")
    if outs < 3:
        return (inning, side, outs, tuple(new), due, score, "no")
    return next_half(inning, side, due, score)


def next_half(inning, side, due, score):
    none, lead = (None,) * 3, abs(score[0] - score[1])
    over = "no"
    if side == 0:
        if inning == 5 and score[1] > score[0]:
            over = "regulation"
    elif inning >= 5:
        if lead:
            over = "regulation" if inning == 5 else "extra"
    elif (inning >= 3 and lead >= 15) or (inning >= 4 and lead >= 10):
        over = "run-ahead"
    if over != "no":
        return (inning, side, 3, none, due, score, over)
    inning, side = inning + side, 1 - side
    count = min(max(inning - 5, 0), 3)
    bases = tuple((due[side] - b) % 5 if b <= count else None for b in (1, 2, 3))
    return (inning, side, 0, bases, due, score, "no")


@functools.lru_cache(None)
def sequences(pos, depth):
    if depth == 0:
        return 1
    found = calls(pos)
    if depth == 1:
        return len(found)
    return sum(sequences(after(pos, c), depth - 1) for c in found)


def text_of(pos):
    inning, side, outs, bases, due, score, over = pos
    shirts = (GUESTS, HOMES)[side]
    on = " ".join(f"{b + 1}:{shirts[p]}" for b, p in enumerate(bases) if p is not None)
    if over != "no":
        return f"inning {inning} {('top', 'bottom')[side]}, score {score[0]}-{score[1]}, over {over}"
    return (f"inning {inning} {('top', 'bottom')[side]}, outs {outs}, bases {on or 'empty'}, "
            f"score {score[0]}-{score[1]}, due {shirts[due[side]]}, over {over}")


def read_position(text):
    v = dict(item.split(" ", 1) for item in text.split(", "))
    inning, half = v["inning"].split()
    side = int(half == "bottom")
    score = tuple(map(int, v["score"].split("-")))
    at = {} if v["bases"] == "empty" else dict(w.split(":") for w in v["bases"].split())
    places = [int(at[b]) % 10 - 1 if b in at else None for b in "123"]
    return int(inning), side, int(v["outs"]), tuple(places), int(v["due"]) % 10 - 1, score


def position(name):
    """The start's position. The other side's due place comes from its turns."""
    sys.path.insert(0, HERE)
    import model
    _, plays, stated, _ = next(s for s in STARTS if s[0] == name)
    record = model.Record(lambda: model.Game(model.Rules(), [
        model.Card(HEAD[1][6:], model.Rules()), model.Card(HEAD[2][5:], model.Rules())]))
    for p in plays:
        record.do(p)
    inning, side, outs, bases, due, score = read_position(stated)
    seen = record.seen()
    assert all(seen[k] == w for k, w in
               (item.split(" ", 1) for item in stated.split(", "))), (name, seen)
    dues = list(record.game.due_at)
    assert dues[side] == due
    return inning, side, outs, bases, tuple(dues), score, "no"


def table():
    for name, plays, stated, depth in STARTS:
        yield {"start": name, "scenario": HEAD + plays + ["expect " + stated]}
        pos = position(name)
        for d in range(1, depth + 1):
            yield {"start": name, "depth": d, "count": sequences(pos, d)}
        tally = {}
        for c in calls(pos):
            nxt = after(pos, c)
            key = text_of(nxt)
            tally.setdefault(key, [0, len(calls(nxt))])[0] += 1
        for key in sorted(tally):
            yield {"start": name, "position": key, "calls": tally[key][0],
                   "replies": tally[key][1]}


def cross():
    """Every written call of every start, legal or not, through model.py too."""
    import model
    wrong = checked = 0
    for name, *_ in STARTS:
        _, _, outs, bases, _, _, _ = position(name)
        occupied = tuple(b + 1 for b in range(3) if bases[b] is not None)
        allowed = set(legal(outs, occupied))
        for batter in batter_calls():
            for choice in itertools.product(*(runner_calls(b) for b in occupied)):
                fates = tuple(zip(occupied, choice))
                for answer in answers():
                    if answer == 0 and (batter, fates, None) in allowed:
                        continue        # the same call, with the needless word
                    checked += 1
                    try:
                        model.judge(outs, {b: b for b in occupied},
                                    model.read_play(written(batter, fates, answer)))
                        other = True
                    except model.Refused:
                        other = False
                    if other != ((batter, fates, answer) in allowed):
                        wrong += 1
                        if wrong < 20:
                            print(name, outs, written(batter, fates, answer), other)
    print(f"{checked} calls judged twice, {wrong} judged differently")
    return wrong


def main(args):
    lines = [json.dumps(row) for row in table()]
    if "--cross" in args and cross():
        return 1
    if "--check" in args:
        with open(FILE, encoding="utf-8") as f:
            kept = f.read().splitlines()
        differ = [(a, b) for a, b in itertools.zip_longest(kept, lines) if a != b]
        for a, b in differ[:20]:
            print(f"kept:  {a}\nfound: {b}")
        print(f"{len(lines)} rows counted, {len(differ)} differ")
        return 1 if differ else 0
    with open(FILE, "w", encoding="utf-8") as f:
        f.write("\n".join(lines) + "\n")
    print(f"{len(lines)} rows written")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
