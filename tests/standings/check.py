#!/usr/bin/env python3
"""Tables and schedules of the engine against independent computations.

  check.py [--pools N] [--seed S] [PROGRAM]

PROGRAM answers JSON lines (crate `standings`); without it, it is built with
cargo. Tables are compared with `ladder.py` beside this file, in order and in
every step; calendars are read with the icalendar package (RFC 5545), CSV with
Python's csv module (RFC 4180). The last line is `N passed, N failed`; exits 1
if anything failed.
"""
import argparse
import collections
import csv
import datetime
import io
import itertools
import json
import os
import random
import re
import subprocess
import sys
from fractions import Fraction

import ladder

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def program():
    subprocess.run(["cargo", "build", "--quiet", "-p", "standings"], cwd=TOP, check=True)
    target = os.environ.get("CARGO_TARGET_DIR", os.path.join(TOP, "target"))
    return os.path.join(target, "debug", "standings")


def ask(path, questions):
    """All answers, in order."""
    text = "".join(json.dumps(q) + "\n" for q in questions)
    done = subprocess.run([path], input=text, capture_output=True, text=True, encoding="utf-8")
    if done.returncode:
        sys.exit(f"{path} failed: {done.stderr}")
    return [json.loads(line) for line in done.stdout.split("\n")[:-1]]


# --- random pools, made so that ties are frequent on every rung ---

def some_line(rng, innings, kind):
    if kind == "alike":
        runs, outs = rng.choice([(1, 15), (2, 15), (3, 15)])
    else:
        runs, outs = rng.randint(0, 12), rng.randint(3 * innings - 3, 3 * innings + 6)
    at_bats = outs + rng.randint(0, 6) if kind != "alike" else 20
    hits = rng.randint(0, at_bats) if kind != "alike" else rng.choice([5, 5, 6])
    earned = runs if rng.random() < 0.7 else rng.randint(0, runs)
    return {"runs": runs, "outs": outs, "earned": earned, "batting": [at_bats, hits]}


def cycle(rng, games, n):
    """Rewrites results so that everyone wins as often: seat i beats the next ones."""
    margins = {}
    for game in games:
        a, b = game["guest"], game["home"]
        away = (b - a) % n
        if 2 * away == n or game["lines"] is None:
            continue
        wins = 0 if away < n / 2 else 1
        score = margins.setdefault(min(away, n - away), rng.choice([(4, 1), (4, 3), (2, 1)]))
        if rng.random() < 0.2:
            score = (score[0] + 1, score[1] + 1)
        for side in (0, 1):
            line = game["lines"][side]
            line["runs"] = score[0] if side == wins else score[1]
            line["earned"] = line["runs"] if rng.random() < 0.8 else line["runs"] - 1


def some_pool(rng):
    n = rng.randint(2, 7)
    innings = rng.choice([3, 5, 5, 5, 7])
    kind = rng.choice(["alike", "alike", "free"])
    games = []
    for cycle_at in range(rng.choice([1, 1, 1, 2])):
        for a in range(n):
            for b in range(a + 1, n):
                if rng.random() < 0.04:
                    continue  # not played
                pair = [a, b] if (a + b + cycle_at) % 2 else [b, a]
                lines = [some_line(rng, innings, kind) for _ in pair]
                games.append({"number": len(games) + 1, "guest": pair[0], "home": pair[1],
                              "standing": "final", "lines": lines})
    if rng.random() < 0.5:
        cycle(rng, games, n)
    for game in games:
        fate = rng.random()
        if fate < 0.03:
            game["standing"], game["lines"] = rng.choice(["forfeit-by-guest", "forfeit-by-home"]), None
        elif fate < 0.06:
            game["standing"] = "unsettled"
            if rng.random() < 0.2:
                for line in game["lines"]:
                    line["outs"] = rng.choice([0, 1, 2])
        elif game["lines"][0]["runs"] == game["lines"][1]["runs"]:
            # A called game may end level; any other goes on until one side leads.
            if rng.random() < 0.5:
                game["standing"] = "tied"
            else:
                game["lines"][rng.randrange(2)]["runs"] += 1
    gaps = rng.random()
    for game in games:
        if game["lines"] is not None and gaps < 0.15 and rng.random() < 0.3:
            rng.choice(game["lines"])["earned" if gaps < 0.08 else "batting"] = None
    # One set of rules for all games, or two as where a pool has two ages.
    sets = [{"innings": innings, "forfeit": rng.choice([5, 7, 9]),
             "unsettled": rng.choice(["left-out", "as-scored"]),
             "tied": rng.choice(["half", "left-out"])} for innings in (innings, rng.choice([3, 5]))]
    mixed = rng.random() < 0.4
    for game in games:
        game["rules"] = rng.choice(sets) if mixed else sets[0]
    rng.shuffle(games)
    lot = list(range(n))
    rng.shuffle(lot)
    if rng.random() < 0.3:
        lot = lot[:rng.randrange(n)]
    # Names in another order than the seats, so that no order is there by chance.
    names = [f"Crew {chr(65 + i)}" for i in range(n)]
    rng.shuffle(names)
    return {"teams": names, "games": games, "lot": lot}


def thousandths(value):
    """Three places, half up, as the trade prints an average."""
    n = (value * 1000 + Fraction(1, 2)).__floor__()
    return f"{n // 1000 or ''}.{n % 1000:03}"


def compare_table(pool, answer):
    """What differs between the two tables."""
    if "problems" in answer:
        return [f"refused: {answer['problems']}"]
    groups, steps, games = ladder.table(pool)
    wrong = []
    rows = answer["rows"]
    place = 1
    at = 0
    for group in groups:
        got = rows[at:at + len(group)]
        if {r["team"] for r in got} != group:
            wrong.append(f"place {place}: expected {group}, got {[r['team'] for r in got]}")
        for row in got:
            record = ladder.record(games, row["team"])
            share = thousandths(ladder.winning(games, row["team"])) if sum(record) else None
            mine = list(ladder.of_team(games, row["team"]))
            want = {"place": place, "shared": len(group) > 1, "record": list(record),
                    "average": share, "scored": sum(a["runs"] for a, _ in mine),
                    "allowed": sum(b["runs"] for _, b in mine)}
            wrong += [f"{row['team']} {k}: expected {v}, got {row[k]}"
                      for k, v in want.items() if row[k] != v]
        place += len(group)
        at += len(group)
    if at != len(rows):
        wrong.append(f"{len(rows)} rows instead of {at}")
    if len(steps) != len(answer["steps"]):
        wrong.append(f"{len(answer['steps'])} steps instead of {len(steps)}")
    for i, (want, got) in enumerate(zip(steps, answer["steps"])):
        seen = {"criterion": got["criterion"], "among": set(got["among"]),
                "groups": [set(g) for g in got["groups"]], "comparable": got["comparable"],
                "values": {t: None if v is None else Fraction(v) for t, v in got["values"]}}
        if seen != want:
            wrong.append(f"step {i}: expected {want}, got {seen}")
        words = got["words"]
        if not all(pool["teams"][t] in words for t in want["among"]) and want["comparable"] \
                and len(set(want["values"].values())) > 1:
            wrong.append(f"step {i} does not name every team: {words}")
        alone = len(want["among"]) < 2
        if ("separates no one" in words or "share the place" in words) != (len(want["groups"]) == 1 and not alone):
            wrong.append(f"step {i} says the wrong thing: {words}")
    left_out = sorted(g["number"] for g in pool["games"]
                      if g["standing"] == "unsettled" and g["rules"]["unsettled"] == "left-out")
    if left_out != answer["left_out"]:
        wrong.append(f"left out: expected {left_out}, got {answer['left_out']}")
    names = [line["team"] for line in csv.DictReader(io.StringIO(answer["csv"], newline=""))]
    if names != [pool["teams"][row["team"]] for row in rows]:
        wrong.append(f"csv: {names}")
    return wrong


# --- schedules ---

def some_wish(rng):
    n = rng.randint(2, 12)
    odd = ["Quay Street", "Tram Yard; east", "Bell, Lane", "Salt \\ Row", "Möwe 🥎 Kai", "=Slip",
           "@Rope Walk", "+Net Loft " + "long " * 8, "Signal\tHill", "-Lock", "\"Gate\"", "Pier"]
    rng.shuffle(odd)
    form = rng.choice(["round-robin", "double-round-robin", "elimination",
                       {"pools": [2, 1]}, {"pools": [2, 2]}])
    if n == 2:
        form = rng.choice(["series", "round-robin"])
    elif n < 6 and isinstance(form, dict):
        form = "elimination"
    opens = rng.randrange(0, 1440)
    return {"teams": odd[:n], "format": form, "courts": ["Slip, upper", "Fish; Market"][:rng.randint(1, 2)],
            "windows": [[opens, opens + rng.randint(300, 900)], [opens + 1440, opens + 9000]],
            "game": rng.randint(15, 45), "turnaround": rng.randint(0, 10), "rest": rng.randint(0, 40),
            "series": rng.choice(["single", "best-of-three"]), "name": "Harbour, day; one",
            "id": f"day-{rng.randrange(1000)}.example",
            "first_day": [rng.randint(1990, 2090), rng.randint(1, 12), rng.randint(1, 28)],
            "ahead": rng.choice([None, None, 0, 60, 345, -210]), "stamp": rng.randrange(2**32),
            "sequence": rng.randrange(9)}


def compare_calendar(wish, answer):
    """What a reader of RFC 5545 finds otherwise than asked."""
    import icalendar
    if "problems" in answer:
        return [f"refused: {answer['problems']}"]
    text = answer["calendar"].encode()
    wrong = [f"line of {len(line)} octets" for line in text.split(b"\r\n") if len(line) > 75]
    if b"\n" in text.replace(b"\r\n", b"") or not text.endswith(b"END:VCALENDAR\r\n"):
        wrong.append("line ends")
    # RFC 5545 section 3.3.11, which the reader is lenient about.
    for line in answer["calendar"].replace("\r\n ", "").split("\r\n"):
        key, _, value = line.partition(":")
        bare = re.sub(r"\\[\\;,nN]", "", value)
        if key in ("NAME", "SUMMARY", "LOCATION", "DESCRIPTION") and re.search(r"[\\;,]", bare):
            wrong.append(f"not escaped: {line}")
    read = icalendar.Calendar.from_ical(text)
    wrong += [f"reader: {error}" for error in read.errors]
    # The reader leaves NAME (RFC 7986, a TEXT) as written, so it is unescaped here.
    name = re.sub(r"\\(.)", r"\1", str(read["NAME"]))
    if name != wish["name"] or str(read["VERSION"]) != "2.0":
        wrong.append("head")
    events = read.walk("VEVENT")
    if len(events) != len(answer["games"]) or len({str(e["UID"]) for e in events}) != len(events):
        wrong.append(f"{len(events)} events")
    midnight = datetime.datetime(*wish["first_day"])
    for game, event in zip(answer["games"], events):
        wrong += [f"reader: {error}" for error in event.errors]
        zone = None if wish["ahead"] is None else datetime.timezone.utc
        shift = datetime.timedelta(minutes=wish["ahead"] or 0)
        for key, minute in (("DTSTART", game["start"]), ("DTEND", game["end"])):
            moment = (midnight + datetime.timedelta(minutes=minute) - shift).replace(tzinfo=zone)
            if event[key].dt != moment:
                wrong.append(f"{key}: expected {moment}, got {event[key].dt}")
        stamp = datetime.datetime.fromtimestamp(wish["stamp"], datetime.timezone.utc)
        joint = "and" if game["toss"] else "at"
        for key, want in (("SUMMARY", f"{game['guest']} {joint} {game['home']}"),
                          ("LOCATION", game["court"]),
                          ("UID", f"game-{game['meeting']}-{game['of_series']}@{wish['id']}"),
                          ("STATUS", "TENTATIVE" if game["if_needed"] else "CONFIRMED")):
            if str(event[key]) != want:
                wrong.append(f"{key}: expected {want!r}, got {str(event[key])!r}")
        if event["DTSTAMP"].dt != stamp or int(event["SEQUENCE"]) != wish["sequence"]:
            wrong.append("stamp or sequence")
    return wrong


def compare_csv(answer):
    """What a reader of RFC 4180 finds otherwise than in the schedule."""
    if "problems" in answer:
        return [f"refused: {answer['problems']}"]
    wrong = []
    lines = list(csv.DictReader(io.StringIO(answer["csv"], newline=""), strict=True))
    if len(lines) != len(answer["games"]):
        return [f"{len(lines)} lines"]
    for game, line in zip(answer["games"], lines):
        cells = [line[k] for k in ("guest", "home", "court")]
        wants = [game[k] for k in ("guest", "home", "court")]
        for cell, want in zip(cells, wants):
            if cell.startswith(tuple("=+-@\t\r\n")) or cell not in (want, "'" + want):
                wrong.append(f"cell {cell!r} for {want!r}")
        hours, minutes = map(int, line["start"].split(":"))
        if (int(line["day"]) - 1) * 1440 + hours * 60 + minutes != game["start"]:
            wrong.append(f"start {line['day']} {line['start']}")
    return wrong


def compare_schedule(wish, answer):
    """What a schedule promises and does not keep."""
    if "problems" in answer:
        return [f"refused: {answer['problems']}"]
    wrong = []
    games = answer["games"]
    form = wish["format"]
    met = collections.Counter(frozenset((g["guest"], g["home"])) for g in games)
    if form in ("round-robin", "double-round-robin"):
        times = 2 if form == "double-round-robin" else 1
        teams = [name.strip() for name in wish["teams"]]
        want = {frozenset(pair): times for pair in itertools.combinations(teams, 2)}
        if met != want:
            wrong.append(f"pairings: expected {want}, got {met}")
        homes = collections.Counter(g["home"] for g in games)
        if max(homes.values()) - min(homes[t] for t in teams) > 1:
            wrong.append(f"home games: {homes}")
    for g in games:
        if g["end"] - g["start"] != wish["game"] \
                or not any(a <= g["start"] and g["end"] <= b for a, b in wish["windows"]):
            wrong.append(f"time of game {g['number']}")
    for a, b in itertools.combinations(games, 2):
        first, second = sorted((a, b), key=lambda g: g["start"])
        pause = second["start"] - first["end"]
        if a["court"] == b["court"] and pause < wish["turnaround"]:
            wrong.append(f"games {a['number']} and {b['number']} on one court")
        if {a["guest"], a["home"]} & {b["guest"], b["home"]} and pause < wish["rest"]:
            wrong.append(f"games {a['number']} and {b['number']} without rest")
    return wrong


def main():
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    words.add_argument("--pools", type=int, default=10_000)
    words.add_argument("--seed", default="harbour")
    words.add_argument("program", nargs="?")
    given = words.parse_args()
    path = given.program or program()
    rng = random.Random(given.seed)
    pools = [some_pool(rng) for _ in range(given.pools)]
    wishes = [some_wish(rng) for _ in range(max(1, given.pools // 25))]
    answers = ask(path, [{"table": p} for p in pools] + [{"schedule": w} for w in wishes])
    passed = failed = 0

    def tell(what, wrong):
        nonlocal passed, failed
        passed, failed = passed + (not wrong), failed + bool(wrong)
        if wrong and failed <= 10:
            print(f"FAILED {what}:")
            for line in wrong[:5]:
                print(f"  {line}")

    taken, apart, blocked = (collections.Counter() for _ in range(3))
    for at, (pool, answer) in enumerate(zip(pools, answers)):
        tell(f"pool {at} of seed {given.seed}", compare_table(pool, answer))
        for step in answer.get("steps", []):
            taken[step["criterion"]] += 1
            apart[step["criterion"]] += len(step["groups"]) > 1
            blocked[step["criterion"]] += not step["comparable"]
    for criterion in ladder.CRITERIA:
        print(f"{criterion:>16}: {taken[criterion]:6} steps, {apart[criterion]:6} separate some, "
              f"{blocked[criterion]:6} cannot be worked out")
        # A rung that never mattered would prove nothing.
        tell(f"rung {criterion} is reached", [] if apart[criterion] else ["never separates anyone"])
    for at, (wish, answer) in enumerate(zip(wishes, answers[len(pools):])):
        tell(f"schedule {at} of seed {given.seed}", compare_schedule(wish, answer))
        tell(f"calendar {at} of seed {given.seed}", compare_calendar(wish, answer))
        tell(f"csv {at} of seed {given.seed}", compare_csv(answer))
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
