"""Writes random games as scenario files, with expects worked out by model.py.

  random_games.py --count N --seed S --out DIR

Legal and illegal calls, every kind of notice, undo and amendments, in every
edition and with changed values. The same seed writes the same files. Play
them with `cargo xtask scenario DIR/*.scn`: each difference is a mistake of
the engine or of the model, and both were written from the same texts.

Left out, because the texts leave them open: which of two put out in one play
was the last one; a question of runs on an illegal hit with a second out; what
is shown of outs, bases and the batter due once a game is over; most notices after
the end; a batter due who is on base after plays were skipped as conflicts.
"""
import argparse
import copy
import os
import random

import model
from model import Card, Game, Record, Refused, Rules, SIDES, Unreadable

LIVE = ("inning", "outs", "score", "bases", "due", "over", "winner", "left",
        "hits", "errors", "proof", "conflicts")
ENDED = ("inning", "score", "over", "winner", "left", "hits", "errors", "proof",
         "conflicts")
FORFEITED = ("score", "over", "winner")
SUSPENDED = ("inning", "score", "over", "winner", "left", "hits", "errors", "conflicts")
RUN_AHEAD = ("15@3 10@4", "5@2 3@3", "none", "7@1", "12@2 8@4", "1@1")


class Writer:
    """One game while it is being made up."""

    def __init__(self, rng):
        self.rng, self.lines = rng, []
        self.settings()
        self.cards()
        self.skill = rng.choice((0.25, 0.4, 0.5, 0.6, 0.75))
        self.amending = rng.random() < 0.3
        self.courtesy = set()
        self.courtesy_half = None

    # ---- head ---------------------------------------------------------------
    def settings(self):
        rng, self.rules = self.rng, Rules()
        self.lines.append("edition " + rng.choice(("federation", "youth", "introductory")))
        some = {
            "innings": str(rng.choice((1, 2, 3, 4, 6))),
            "run-ahead": rng.choice(RUN_AHEAD),
            "tie-break-runners": rng.choice(("0", "1", "3", "2 3", "0 2", "1 1 1 3")),
            "tie-break-who": rng.choice(("nearest-on-first", "nearest-on-lead")),
            "loaded-runner": rng.choice(("either", "last-out", "reserve")),
            "re-entry": rng.choice(("starter-once", "never", "free")),
            "walk-off-runs": rng.choice(("whole-play", "until-ahead")),
            "injury-cover": rng.choice(("last-resort", "eligible")),
            "time-outs": rng.choice(("unlimited", "1 a-game", "2 a-game", "1 an-inning", "0 a-game")),
            "forfeit-score": str(rng.choice((1, 5, 7, 9))),
            "gender-minimum": rng.choice(("1", "2")),
            "left-early": rng.choice(("dead", "live")),
            "called-game": str(rng.choice((1, 2, 3))),
            "ties": rng.choice(("played-on", "allowed")),
            "run-ahead-when": rng.choice(("complete", "guests-done", "at-once")),
            "forfeit-larger": rng.choice(("fixed", "larger-stands")),
            "awards": rng.choice(("umpire", "1", "2")),
            "out-of-turn": rng.choice(("due-out", "corrected")),
        }
        for name, value in some.items():
            if rng.random() < 0.2:
                self.put_setting(name, value)

    def put_setting(self, name, value):
        self.rules.set(name, value)
        self.lines.append(f"set {name} {value}")

    def cards(self):
        rng, texts = self.rng, []
        for side in SIDES:
            while True:
                shirts = rng.sample(range(100), 5 + rng.choice((0, 1, 2, 3, 3)))
                mark = [n_mark(rng, n, self.rules.gender) for n in shirts]
                text = " ".join(mark[:5]) + (" reserves " + " ".join(mark[5:]) if mark[5:] else "")
                try:
                    Card(text, self.rules)
                    break
                except Refused:
                    if rng.random() < 0.2:
                        self.lines += [f"{side} {text}", "refused"]
            self.lines.append(f"{side} {text}")
            texts.append(text)
        rules = self.rules
        self.record = Record(lambda: Game(rules, [Card(t, rules) for t in texts]))

    # ---- lines ----------------------------------------------------------------
    def put(self, line):
        """Records the line, or notes that it is refused."""
        before = self.record.seen()
        try:
            self.record.do(line)
            self.lines.append(line)
            return True
        except Refused as why:
            assert before == self.record.seen(), line
            self.lines += [line, f"refused                     # {why}"]
            return False

    def expect(self, everything=False):
        seen = self.record.seen()
        keys = {"no": LIVE, "forfeit": FORFEITED, "suspended": SUSPENDED}.get(
            seen["over"], ENDED)
        if not everything:
            keys = sorted(self.rng.sample(keys, self.rng.randint(1, len(keys))),
                          key=keys.index)
        self.lines.append("expect " + ", ".join(f"{k} {seen[k]}" for k in keys))

    # ---- calls ------------------------------------------------------------------
    def batter(self):
        rng = self.rng
        if rng.random() < self.skill:
            n = rng.choice((1, 1, 1, 1, 2, 2, 3, 4))
            kind = rng.choice(("", "", "", " hit", " error", " choice", " award"))
            r = rng.random()
            if r < 0.12:
                how = rng.choice(("", " tagged", " tagged", " passed", " collision",
                                  " interference", " shared", " missed", " forced"))
                return f"safe {n}{kind} then out {rng.randint(n, 4)}{how}"
            if r < 0.25:
                why = rng.choice(("", " error", " error", " throw", " award", " hit"))
                return f"safe {n}{kind} then to {rng.randint(1, 4)}{why}"
            return f"safe {n}{kind}"
        if rng.random() < 0.25:
            return "illegal " + rng.choice(model.ILLEGAL)
        if rng.random() < 0.12:
            return "no-hit"
        return rng.choice(("out", "out", "caught", "out " + rng.choice(model.BEFORE_FIRST)))

    def runner(self, base, batter):
        rng, r = self.rng, self.rng.random()
        if r < 0.15:
            return "holds"
        ahead = rng.randint(base + 1, 4) if rng.random() < 0.95 else rng.randint(1, 4)
        if batter.startswith(("illegal", "no-hit")) and rng.random() < 0.8:
            return rng.choice(("holds", f"to {ahead} award", "out left-early"))
        if r < 0.6:
            return f"to {ahead}" + rng.choice(("", "", " hit", " throw", " error", " award"))
        if r < 0.68:
            how = rng.choice(("tagged", "tagged", "passed", "shared", "missed", "collision"))
            return f"to {ahead} then out at {rng.randint(1, 4)} {how}"
        if r < 0.76:
            why = rng.choice(("", " hit", " award"))
            on = rng.choice(("", " error", " throw", " award", " hit"))
            return f"to {ahead}{why} then to {rng.randint(1, 4)}{on}"
        how = rng.choice(("forced", "forced", "tagged", "tagged") + model.RUNNER_OUT)
        if batter == "caught" and rng.random() < 0.4:
            how = "not-back"
        if how == "forced" and rng.random() < 0.9:
            return rng.choice(("out forced", f"out at {base + 1} forced"))
        if how == "not-back" and rng.random() < 0.9:
            return f"out at {base} not-back"
        return "out " + (f"at {rng.randint(1, 4)} " if rng.random() < 0.7 else "") + how

    def call(self, outs, bases):
        """Any call, legal or not, that the texts speak about."""
        rng = self.rng
        while True:
            batter = self.batter()
            fates = [(b, self.runner(b, batter)) for b in bases if rng.random() < 0.45]
            if rng.random() < 0.02:
                fates.append((rng.randint(1, 3), "holds"))
                if len({b for b, _ in fates}) < len(fates):
                    continue
            rng.shuffle(fates)
            text = batter + (" | " + ", ".join(f"{b} {f}" for b, f in fates) if fates else "")
            try:
                call = model.read_play(text)
            except Unreadable:
                continue
            if call["batter"][0] in ("illegal", "no-hit") and len(call["fates"]) and any(
                    f[0] == "out" for f in call["fates"].values()) and any(
                    f[0] == "to" for f in call["fates"].values()):
                continue
            return text

    def answered(self, outs, bases, text):
        """The same call with an answer where one is due, and whether it was."""
        try:
            model.judge(outs, bases, model.read_play(text), self.rules)
            return text, False
        except Refused as why:
            if str(why) != "unanswered":
                return text, False
        most = 0
        for n in (1, 2, 3):
            try:
                model.judge(outs, bases, model.read_play(f"{text} ; {n} runs count"),
                            self.rules)
                most = n
            except Refused:
                break
        n = self.rng.randint(0, most)
        form = {0: "run does not count"}.get(n, f"{n} runs count")
        if most == n:
            form = self.rng.choice(("run counts", form))
        return f"{text} ; {form}", True

    def play(self):
        rng, game = self.rng, self.record.game
        for _ in range(60):
            text = self.call(game.outs, game.bases)
            full, asked = self.answered(game.outs, game.bases, text)
            try:
                model.judge(game.outs, game.bases, model.read_play(full), self.rules)
                legal = True
            except Refused:
                legal = False
            if asked and rng.random() < 0.3:
                self.put(text)
            if not legal and rng.random() < 0.75:
                continue
            dead = full.startswith(("illegal", "no-hit")) and ";" not in full
            if legal and dead and rng.random() < 0.05:
                self.put(full + " error " + rng.choice(model.POSITIONS))
            elif legal and rng.random() < 0.1:
                star = rng.choice(("", "", "*"))
                full += " by " + " ".join(p + rng.choice(("", star)) for p in rng.choices(
                    model.POSITIONS, k=rng.randint(1, 3)))
                if rng.random() < 0.5 and not full.startswith(("illegal", "no-hit")):
                    full += " error " + rng.choice(model.POSITIONS)
            if rng.random() < 0.02:
                hitter = rng.choice(game.card[game.side].order)
                self.put(f"batter {hitter}")
            done = self.put(full)
            if rng.random() < 0.5 or not done:
                self.expect()
            if done:
                return
        self.put("out")

    # ---- between plays --------------------------------------------------------
    def notice(self):
        rng, game = self.rng, self.record.game
        side = rng.randrange(2)
        name, card = SIDES[side], game.card[side]
        kind = rng.choices(("timeout", "warn", "protest", "hold", "sub", "eject", "injury",
                            "runner", "forfeit", "no-play", "end", "coach", "card"),
                           (4, 1, 1, 2, 8, 2, 2, 1, 0.1, 1, 0.3, 1, 1))[0]
        half = (game.inning, game.side)
        if kind in ("sub", "eject", "injury") and self.courtesy_half == half:
            return
        if kind == "hold":
            self.put("hold weather")
            if rng.random() < 0.5:
                self.put("out")
            if rng.random() < 0.5:
                self.put("timeout " + name)
            self.put("resume")
        elif kind == "forfeit":
            self.put("forfeit " + rng.choice((name, name, "both")))
        elif kind == "timeout":
            self.put(f"{kind} {name}")
        elif kind == "no-play":
            self.put("no-play a ball rolled in")
        elif kind == "coach":
            self.put(rng.choice(("eject", "warn")) + f" {name} coach Dana")
        elif kind == "end":
            self.put("end " + rng.choice(model.STOPPAGES))
            if game.over == "suspended" and rng.random() < 0.8:
                self.expect()
                self.put("resume")
        elif kind == "card":
            self.correct_card(name, card)
        elif kind in ("warn", "protest"):
            self.put(f"{kind} {name} " + (f"{card.order[0]} " if kind == "warn" else "")
                     + "said so")
        elif kind == "runner":
            if not game.stuck():
                self.put(f"runner third by {rng.choice(card.order + card.reserves)}")
        else:
            self.change(kind, name, card)
        if rng.random() < 0.5:
            self.expect()

    def correct_card(self, name, card):
        rng = self.rng
        free = [n for n in range(100) if n not in card.gender]
        known = rng.choice(sorted(card.gender) + [rng.choice(free)])
        if known in self.courtesy:
            return
        if rng.random() < 0.5:
            to = rng.choice(free if rng.random() < 0.8 else sorted(card.gender))
            self.put(f"card {name} {known} is {to}")
        else:
            n = rng.choice(free if rng.random() < 0.8 else sorted(card.gender))
            self.put(f"card {name} add {n_mark(rng, n, self.rules.gender)}")

    def change(self, kind, name, card):
        rng = self.rng
        out = rng.choice(card.order)
        can = card.eligible(card.order.index(out)) - self.courtesy
        everyone = [n for n in card.order + card.reserves + card.starters + [98, 99]
                    if n not in self.courtesy]
        if kind == "sub":
            by = rng.choice(sorted(can)) if can and rng.random() < 0.7 else rng.choice(everyone)
            if rng.random() < 0.1:
                out = rng.choice(everyone)
            self.put(f"sub {name} {out} by {by}")
        elif can:
            by = rng.choice(sorted(can))
            if rng.random() < 0.2:
                self.put(f"{kind} {name} {out}")
            self.put(f"{kind} {name} {out} by {by}")
        elif not self.rules.gender and not self.courtesy and rng.random() < 0.15:
            if kind == "injury" and self.rules.injury_cover == "last-resort" and card.withdrawn:
                self.put(f"injury {name} {out} by {rng.choice(sorted(card.withdrawn))}")
            else:
                self.put(f"{kind} {name} {out}")

    def runner_third(self):
        rng, game = self.rng, self.record.game
        base = next(b for b, n in game.bases.items() if n == game.due())
        name = {1: "first", 2: "second", 3: "third"}[base]
        card = game.card[game.side]
        if rng.random() < 0.5:
            self.put(rng.choice(("out", "safe 1", "caught")))
        if rng.random() < 0.3:
            self.put(f"runner {name} by {game.due()}")
        can = game.may_run()
        everyone = set(card.order + card.reserves + card.starters)
        if not game.last_out_sure:
            # Who that is decides; a reserve under "either" may run anyway.
            can = can - set(card.order) if self.rules.loaded == "either" else set()
            everyone = set()
        if not can:
            self.put("undo")
            return
        if everyone - can and rng.random() < 0.3:
            self.put(f"runner {name} by {rng.choice(sorted(everyone - can))}")
        by = rng.choice(sorted(can))
        self.put(f"runner {name} by {by}")
        if by not in card.order and rng.random() < 0.3:
            # Hurt or sent off at once: somebody else must run.
            self.put(rng.choice(("injury", "eject")) + f" {SIDES[game.side]} {by}")
            self.courtesy.add(by)
            return
        self.courtesy_half = (game.inning, game.side)
        if by not in card.order:
            self.courtesy.add(by)
        self.expect()

    def correct(self):
        """An undo or an amendment."""
        rng, record = self.rng, self.record
        plays = len(record.plays())
        if not self.amending or not plays or rng.random() < 0.5:
            self.put("undo")
        else:
            n = rng.randint(max(1, plays - 6), plays)
            text = self.call(1, rng.sample((1, 2, 3), rng.randint(0, 3)))
            line = f"amend {n}: {text}" if rng.random() < 0.9 else f"replay {n}"
            if not self.amendment_is_plain(line):
                return
            self.put(line)
        self.expect()

    def amendment_is_plain(self, line):
        """Whether no batter due is met on base while plays are skipped."""
        trial = Record(self.record.start)
        trial.entries = copy.deepcopy(self.record.entries)
        odd = []
        play = Game.play

        def watched(game, text):
            if game.due() in game.bases.values() and game.over == "no":
                odd.append(text)
            return play(game, text)
        Game.play = watched
        try:
            trial.do(line)
            if trial.game.stuck():
                odd.append(line)
        except Refused:
            pass
        finally:
            Game.play = play
        return not odd

    # ---- the whole game ---------------------------------------------------------
    def write(self):
        rng, turns = self.rng, 0
        self.expect()
        while turns < 400:
            turns += 1
            game = self.record.game
            if game.over != "no":
                self.expect(everything=True)
                if rng.random() < 0.1:
                    side = rng.randrange(2)
                    self.put(f"eject {SIDES[side]} {rng.choice(game.card[side].order)}")
                self.put(rng.choice(("out", "safe 1", "caught")))
                if rng.random() < 0.85:
                    break
                self.put("undo")
                self.expect()
                continue
            if game.held:
                self.put("resume")
                continue
            if game.stuck():
                self.runner_third()
                continue
            if rng.random() < 0.06:
                self.notice()
            elif rng.random() < (0.06 if self.amending else 0.01):
                self.correct()
            else:
                self.play()
        self.expect(everything=True)
        return "\n".join(self.lines) + "\n"


def n_mark(rng, n, gender):
    return f"{n}{rng.choice('FM')}" if gender else str(n)


def main():
    ask = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    ask.add_argument("--count", type=int, default=100)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--out", required=True)
    a = ask.parse_args()
    os.makedirs(a.out, exist_ok=True)
    ends = {}
    for i in range(a.count):
        w = Writer(random.Random(f"{a.seed}/{i}"))
        text = w.write()
        with open(os.path.join(a.out, f"random-{a.seed}-{i:05}.scn"), "w", encoding="utf-8") as f:
            f.write(f"# random game {i} of seed {a.seed}\n" + text)
        over = w.record.game.over
        ends[over] = ends.get(over, 0) + 1
    print(f"{a.count} games written, seed {a.seed}:",
          ", ".join(f"{k} {v}" for k, v in sorted(ends.items())))


if __name__ == "__main__":
    main()
