"""A second, independent telling of the game, in Python, from the rule texts.

Reads scenario files and keeps the score of them. The engine is written in
Rust from the same texts; where the two differ, one of them is wrong. No code
is shared. `python3 model.py FILE...` checks every `expect` and `refused`.

Sources by the labels of the project's rule values: pub = read in the
published text; cp = common practice, no source; mem = from memory, a policy
that the competition sets.
"""
import re
import sys

POSITIONS = ("1B", "2B", "3B", "SS", "MF")
RUNNER_OUT = ("forced", "tagged", "left-early", "not-back", "passed", "shared",
              "collision", "interference", "other")
DEAD_BALL_OUT = ("left-early", "collision", "interference", "other")
ILLEGAL = ("no-hit-zone", "foul", "fence", "box", "turn", "other")
SIDES = ("guest", "home")


class Refused(Exception):
    """The rules do not allow this; nothing has changed."""


class Unreadable(Exception):
    """Not a line of the scenario form."""


class Rules:
    """The values this telling needs. Built-in editions agree on all of them."""

    def __init__(self):
        self.innings = 5                        # pub [G]
        self.run_ahead = [(15, 3), (10, 4)]     # pub [G]
        self.placed = [1, 2, 3]                 # pub [G]
        self.nearest_on_first = True            # mem: policy
        self.roster = 8                         # pub [G]
        self.gender = 0                         # pub [G]: 2 in mixed play
        self.re_entry = "starter-once"          # mem: policy
        self.injury_cover = "last-resort"       # mem: policy
        self.time_outs = None                   # mem: policy
        self.loaded = "either"                  # mem: policy
        self.whole_play = True                  # mem: policy
        self.forfeit = 5                        # mem: policy

    def set(self, name, value):
        if name == "innings":
            self.innings = int(value)
        elif name == "run-ahead":
            self.run_ahead = [] if value == "none" else [
                tuple(map(int, s.split("@"))) for s in value.split()]
        elif name == "tie-break-runners":
            self.placed = list(map(int, value.split()))
        elif name == "tie-break-who":
            self.nearest_on_first = value == "nearest-on-first"
        elif name == "roster-limit":
            self.roster = int(value)
        elif name == "gender-minimum":
            self.gender = int(value)
        elif name == "re-entry":
            self.re_entry = value
        elif name == "injury-cover":
            self.injury_cover = value
        elif name == "time-outs":
            self.time_outs = None if value == "unlimited" else (
                int(value.split()[0]), value.split()[1])
        elif name == "loaded-runner":
            self.loaded = value
        elif name == "walk-off-runs":
            self.whole_play = value == "whole-play"
        elif name == "forfeit-score":
            self.forfeit = int(value)
        elif name not in ("no-hit", "no-hit-shape", "fence-height", "awards",
                          "series", "series-home", "hand-raise", "out-of-turn",
                          "safe-area", "fair-side", "infield-side",
                          "no-hit-minimum", "batters-box", "base-side",
                          "unsettled-games", "leaders-turns", "leaders-chances"):
            raise Unreadable("setting " + name)


class Card:
    """One side's line-up card and who of it may still come in."""

    def __init__(self, text, rules):
        five, _, rest = text.partition("reserves")
        self.gender = {}

        def read(words):
            out = []
            for w in words.split():
                m = re.fullmatch(r"(\d+)([FM]?)", w)
                if not m:
                    raise Unreadable("shirt " + w)
                out.append(int(m[1]))
                self.gender[int(m[1])] = m[2]
            return out
        self.order, self.reserves = read(five), read(rest)
        everyone = self.order + self.reserves
        if len(self.order) != 5:
            raise Refused("five hitters")
        if len(everyone) > rules.roster:
            raise Refused("roster")
        if len(set(everyone)) != len(everyone) or max(everyone) > 99:
            raise Refused("numbers")
        self.rules = rules
        if not self.genders_fit(self.order):
            raise Refused("gender minimum")
        self.starters = list(self.order)
        self.fresh = set(self.reserves)
        self.withdrawn, self.gone, self.returned = set(), set(), set()

    def genders_fit(self, five):
        return all(sum(self.gender[n] == g for n in five) >= self.rules.gender
                   for g in "FM")

    def eligible(self, place):
        """Who may take this place in the order now."""
        can = set(self.fresh)
        for n in self.withdrawn:
            if self.rules.re_entry == "free":
                can.add(n)
            elif (self.rules.re_entry == "starter-once" and n in self.starters
                  and self.starters[place] == n and n not in self.returned):
                can.add(n)
        keep = self.order[:place] + self.order[place + 1:]
        return {n for n in can if self.genders_fit(keep + [n])}

    def put_in(self, place, n, out_to):
        old = self.order[place]
        self.fresh.discard(n)
        if n in self.withdrawn:
            self.withdrawn.discard(n)
            self.returned.add(n)
        out_to.add(old)
        self.order[place] = n


class Game:
    """The state of a game and the one transition on it."""

    def __init__(self, rules, cards):
        self.rules, self.card = rules, cards
        self.due_at = [0, 0]
        self.inning, self.side = 1, 0
        self.outs, self.bases = 0, {}
        self.score, self.hits, self.errors = [0, 0], [0, 0], [0, 0]
        self.left, self.turns, self.placed = [0, 0], [0, 0], [0, 0]
        self.putouts = [0, 0]                   # made by the side in the field
        self.over, self.winner, self.held = "no", "none", False
        self.last_out, self.last_out_sure = None, True
        self.courtesy = None                    # a reserve who runs for the batter due
        self.time_outs = [[], []]

    def due(self):
        return self.card[self.side].order[self.due_at[self.side]]

    def stuck(self):
        """Bases loaded, two out, the batter due on third (derived)."""
        return (self.outs == 2 and len(self.bases) == 3
                and self.bases[3] == self.due())

    # ---- a play -----------------------------------------------------------
    def play(self, text):
        if self.over != "no":
            raise Refused("over")
        if self.held:
            raise Refused("held")
        if self.stuck():
            raise Refused("runner third")
        call = read_play(text)
        occupied = set(self.bases)
        people, score_order, note = judge(self.outs, self.bases, call)
        side, field = self.side, 1 - self.side
        self.courtesy = None
        self.turns[side] += 1
        who = {0: self.due(), **self.bases}
        self.due_at[side] = (self.due_at[side] + 1) % 5
        put_out = [b for b, end in people.items() if end == "out"]
        self.outs += len(put_out)
        self.putouts[field] += len(put_out)
        if put_out:
            self.last_out = who[put_out[0] if len(put_out) == 1 else max(put_out)]
            self.last_out_sure = len(put_out) == 1
        runs = score_order if note is None else score_order[:note]
        last = self.inning >= self.rules.innings and side == 1
        if last and not self.rules.whole_play:
            need = self.score[0] - self.score[1] + 1
            if not (call["batter"][0] == "safe" and call["batter"][1] == 4
                    and call["batter"][3] == "hit"):
                runs = runs[:max(need, 0)]
        self.score[side] += len(runs)
        self.bases = {end: who[b] for b, end in people.items()
                      if end in (1, 2, 3)}
        self.hits[side] += call_is_hit(call, force_outs(occupied, call))
        self.errors[field] += call_errors(call)
        unscored = sum(end == 4 for end in people.values()) - len(runs)
        if last and self.score[1] > self.score[0]:
            self.left[side] += len(self.bases) + unscored
            self.finish("walk-off", 1)
        elif self.outs == 3:
            self.left[side] += len(self.bases) + unscored
            self.end_half()

    def end_half(self):
        guest, home = self.score
        if self.side == 0:
            if self.inning == self.rules.innings and home > guest:
                return self.finish("regulation", 1)
            return self.open_half(self.inning, 1)
        lead, ahead = abs(guest - home), int(home > guest)
        if self.inning >= self.rules.innings:
            if lead:
                return self.finish("regulation" if self.inning == self.rules.innings
                                   else "extra", ahead)
        elif any(lead >= l and self.inning >= n for l, n in self.rules.run_ahead):
            return self.finish("run-ahead", ahead)
        return self.open_half(self.inning + 1, 0)

    def open_half(self, inning, side):
        self.inning, self.side, self.outs, self.bases = inning, side, 0, {}
        self.last_out = None
        extra = inning - self.rules.innings
        if extra > 0:
            n = self.rules.placed[min(extra, len(self.rules.placed)) - 1]
            order, due = self.card[side].order, self.due_at[side]
            for back in range(1, n + 1):
                base = back if self.rules.nearest_on_first else n + 1 - back
                self.bases[base] = order[(due - back) % 5]
            self.placed[side] += n

    def finish(self, how, winner):
        self.over, self.winner = how, SIDES[winner]

    # ---- notices ----------------------------------------------------------
    def notice(self, text):
        word, _, rest = text.partition(" ")
        args = rest.split()
        if word in ("protest", "warn"):
            return
        if self.over != "no":
            raise Refused("over")
        if word == "hold":
            if self.held:
                raise Refused("held already")
            self.held = True
        elif word == "resume":
            if not self.held:
                raise Refused("not held")
            self.held = False
        elif word == "forfeit":
            self.lose(SIDES.index(args[0]))
        elif word == "timeout":
            self.time_out(SIDES.index(args[0]))
        elif word == "sub":
            self.swap(SIDES.index(args[0]), int(args[1]), int(args[3]), "sub")
        elif word in ("eject", "injury"):
            by = int(args[3]) if len(args) > 2 else None
            self.swap(SIDES.index(args[0]), int(args[1]), by, word)
        elif word == "runner":
            self.runner_third(int(args[2]))
        else:
            raise Unreadable(text)

    def lose(self, side):
        self.score = [0, 0]
        self.score[1 - side] = self.rules.forfeit
        self.finish("forfeit", 1 - side)

    def time_out(self, side):
        if self.held:
            raise Refused("held")
        taken, limit = self.time_outs[side], self.rules.time_outs
        if limit:
            count = len(taken) if limit[1] == "a-game" else taken.count(self.inning)
            if count >= limit[0]:
                raise Refused("time-outs")
        taken.append(self.inning)

    def swap(self, side, out, by, why):
        card = self.card[side]
        if out not in card.order:
            if why != "sub" and by is None and (out in card.fresh or out in card.withdrawn):
                if side == self.side:
                    self.off_base(out)
                card.fresh.discard(out)
                card.withdrawn.discard(out)
                card.gone.add(out)
                return
            raise Refused("not one of the five")
        place = card.order.index(out)
        can = card.eligible(place)
        if why == "injury" and not can and self.rules.injury_cover == "last-resort":
            can = {n for n in card.withdrawn if card.genders_fit(
                card.order[:place] + card.order[place + 1:] + [n])}
        if by is None and not can:
            return self.lose(side)
        if by not in can:
            raise Refused("not eligible")
        if side == self.side:
            if why == "sub" and by == self.courtesy:
                raise Refused("runs for the batter due")
            self.off_base(by)
        card.put_in(place, by, card.withdrawn if why == "sub" else card.gone)
        if side == self.side:
            for base, n in self.bases.items():
                if n == out:
                    self.bases[base] = by
            if self.last_out == out:
                self.last_out, self.last_out_sure = by, False

    def may_run(self):
        """Who may take the base of the batter due (mem: a policy). Nobody left
        by the policy: the other choice, then any of the five off base, so that
        the game goes on."""
        card, on = self.card[self.side], self.bases.values()
        last = {self.last_out} - {None} - set(on)
        reserves = {n for n in card.fresh | card.withdrawn if n not in on and (
            n in card.fresh or self.rules.re_entry == "free"
            or self.rules.re_entry == "starter-once" and n in card.starters
            and n not in card.returned)}
        choice = {"either": [last | reserves], "last-out": [last, reserves],
                  "reserve": [reserves, last]}[self.rules.loaded]
        return next(filter(None, choice), set(card.order) - set(on))

    def runner_third(self, n):
        if not self.stuck():
            raise Refused("not loaded with the batter due on third")
        if n not in self.may_run():
            raise Refused("neither the last out nor a reserve")
        self.bases[3] = n
        self.courtesy = n if n not in self.card[self.side].order else None

    def off_base(self, n):
        """A reserve who runs for the batter due leaves at once when hurt, sent
        off or needed: the batter due stands there again (derived: an injury
        does not wait)."""
        if n is not None and n == self.courtesy:
            self.bases[3], self.courtesy = self.due(), None

    # ---- what can be seen -------------------------------------------------
    def proof(self):
        return [self.turns[s] + self.placed[s] - self.score[s] - self.left[s]
                - self.putouts[1 - s]
                - (len(self.bases) if s == self.side and self.over == "no" else 0)
                for s in (0, 1)]

    def seen(self):
        pair = "{0[0]}-{0[1]}".format
        return {
            "inning": f"{self.inning} {('top', 'bottom')[self.side]}",
            "outs": str(self.outs), "score": pair(self.score),
            "bases": " ".join(f"{b}:{n}" for b, n in sorted(self.bases.items())) or "empty",
            "due": str(self.due()), "over": self.over, "winner": self.winner,
            "left": pair(self.left), "hits": pair(self.hits),
            "errors": pair(self.errors), "proof": pair(self.proof()),
        }


# ---- reading and judging one call ------------------------------------------
def read_play(text):
    """The call in a play line, as a dictionary."""
    call = {"answer": None, "errors": 0, "fates": {}}
    m = re.search(r"\s+((by|error)\s+[1-3SM][BSF](\s+(by|error))?.*)$", text)
    if m:
        tail, text = m[1].split(), text[:m.start()]
        word = None
        for t in tail:
            if t in ("by", "error"):
                word = t
            elif t in POSITIONS and word:
                call["errors"] += word == "error"
            else:
                raise Unreadable(text)
    text, semi, answer = text.partition(";")
    if semi:
        answer = answer.strip()
        m = re.fullmatch(r"(\d+) runs? counts?", answer)
        if answer == "run counts":
            call["answer"] = "all"
        elif answer == "run does not count":
            call["answer"] = 0
        elif m:
            call["answer"] = int(m[1])
        else:
            raise Unreadable(answer)
    head, _, rest = text.partition("|")
    w = head.split()
    m = re.fullmatch(r"safe ([1-4])( hit| error| choice)?( then out ([1-4])( \S+)?)?",
                     " ".join(w))
    if m:
        how = (m[2] or " hit").strip()
        call["batter"] = ("safe", int(m[1]), int(m[4]) if m[4] else None, how, bool(m[2]))
        if m[4] and m[5] and m[5].strip() not in RUNNER_OUT:
            raise Unreadable(text)
        call["batter-how"] = (m[5] or " tagged").strip()
    elif w in (["out"], ["caught"]):
        call["batter"] = (w[0],)
    elif len(w) == 2 and w[0] == "illegal" and w[1] in ILLEGAL:
        call["batter"] = ("illegal",)
        if call["errors"]:                      # derived: the ball is dead
            raise Refused("no error on a dead ball")
    else:
        raise Unreadable(text)
    for part in filter(str.strip, rest.split(",")):
        w = part.split()
        base, fate = int(w[0]), " ".join(w[1:])
        if base in call["fates"]:
            raise Refused("named twice")
        call["fates"][base] = read_fate(fate)
    return call


def read_fate(fate):
    if fate == "holds":
        return ("holds",)
    m = re.fullmatch(r"to ([1-4])( hit| throw| error| award)?", fate)
    if m:
        return ("to", int(m[1]), (m[2] or " hit").strip())
    m = re.fullmatch(r"to ([1-4])(?: hit| throw| error| award)? then out at ([1-4]) (\S+)", fate)
    if m and m[3] in RUNNER_OUT:
        return ("to-out", int(m[1]), int(m[2]), m[3])
    m = re.fullmatch(r"out(?: at ([1-4]))? (\S+)", fate)
    if m and m[2] in RUNNER_OUT:
        return ("out", int(m[1]) if m[1] else None, m[2])
    raise Unreadable(fate)


def judge(outs, bases, call):
    """(where each person ends, who came home in order, how many of them count).

    People are known by the base held at the hit, 0 for the batter. The last
    value is None when every run counts.
    """
    kind, fates = call["batter"][0], call["fates"]
    for b in fates:
        if b not in bases:
            raise Refused("nobody there")
    if kind == "safe" and call["batter"][3] == "choice" and not bases:
        raise Refused("choice without a runner")
    if kind == "safe" and call["batter"][2] is not None:
        if call["batter"][2] <= call["batter"][1]:
            raise Refused("out behind the base reached")
        if call["batter-how"] in ("forced", "not-back", "left-early"):
            raise Refused("that cannot befall a batter")
    end, floor = {}, 0
    # the batter
    if kind == "safe" and call["batter"][2] is None:
        end[0] = call["batter"][1]
        floor = min(end[0] + 1, 4)
    else:
        end[0] = "out"
        if kind == "safe":
            passed = call["batter-how"] == "passed"
            floor = call["batter"][1] + 1 if passed else call["batter"][2]
    # the runners, from behind
    for b in sorted(bases):
        fate = fates.get(b)
        if fate is None:
            end[b] = max(b, floor)
        elif fate[0] == "holds":
            end[b] = b
        elif fate[0] == "to":
            if fate[1] <= b:
                raise Refused("not ahead")
            if kind == "illegal" and fate[2] != "award":
                raise Refused("dead ball")
            end[b] = fate[1]
        else:
            end[b] = "out"
            place, how = fate[-2], fate[-1]
            if fate[0] == "to-out" and not b < fate[1] < place:
                raise Refused("order of bases")
            if place is not None and place < b:
                raise Refused("out behind the own base")
            if how == "not-back" and kind != "caught":
                raise Refused("no catch")
            if kind == "illegal" and (how not in DEAD_BALL_OUT or fate[0] == "to-out"):
                raise Refused("dead ball")
            if how == "forced":
                behind = all(x in bases for x in range(1, b))
                if fate[0] == "to-out" or not behind or kind in ("caught", "illegal"):
                    raise Refused("no force")
                if place not in (None, b + 1):
                    raise Refused("a force is at the next base")
                place = b + 1
            if how == "passed":  # those passed are no longer ahead
                place = fate[1] + 1 if fate[0] == "to-out" else None
            if place is not None:
                floor = max(floor, place)
            continue
        if end[b] < floor:
            raise Refused("base taken or passed")
        floor = max(floor, min(end[b] + 1, 4))
    put_out = [b for b in end if end[b] == "out"]
    home = sorted((b for b in end if end[b] == 4), reverse=True)
    if outs + len(put_out) > 3:
        raise Refused("more than three outs")
    answer = call["answer"]
    if outs + len(put_out) < 3:
        if answer is not None:
            raise Refused("no question")
        return end, home, None
    # The third out. A catch or an illegal hit is first in time.
    forces = force_outs(bases, call)
    open_outs = [b for b in put_out if b not in forces and not (b == 0 and kind == "out")]
    if kind in ("caught", "illegal") and len(put_out) > 1:
        open_outs.remove(0)
    elif kind in ("caught", "illegal"):
        open_outs = []
    can = [b for b in home if open_outs and b > min(open_outs)]
    if not can:
        # That nobody scored may be said after a tag; after a force it is known.
        if answer is not None and not (answer == 0 and open_outs):
            raise Refused("no question")
        return end, home, 0
    if answer is None:
        raise Refused("unanswered")
    count = len(can) if answer == "all" else answer
    if count > len(can):
        raise Refused("more runs than came home")
    return end, home, count


def most_home_first(outs, bases, call):
    """How many could have been home before the third out."""
    for n in (4, 3, 2, 1):
        try:
            judge(outs, bases, {**call, "answer": n})
            return n
        except Refused:
            pass
    return 0


def force_outs(bases, call):
    """The bases of the runners whose out is a force, called so or not.

    mem (OBR 5.08(a), 5.09(b)(6), Definitions): who must run because the
    batter runs and every base behind is taken is out by force when the next
    base is touched first or when tagged short of it. Once anyone behind is
    out nobody has to run any more; a tag may then have come before or after.
    """
    if call["batter"][0] not in ("safe", "out"):
        return set()
    found, has_to = set(), call["batter"][0] == "safe" and call["batter"][2] is None
    for b in (1, 2, 3):
        if b not in bases:
            break
        fate = call["fates"].get(b, ("default",))
        if fate[0] == "out":
            short = fate[1] is None or fate[1] in (b, b + 1)
            if fate[2] == "forced" or fate[2] == "tagged" and has_to and short:
                found.add(b)
        if "out" in fate[0]:
            has_to = False
    return found


def call_is_hit(call, forces):
    """mem (OBR 9.05(b)(1)): a force out of a runner takes the hit away."""
    b = call["batter"]
    return int(b[0] == "safe" and b[3] == "hit" and not forces)


def call_errors(call):
    if call["errors"]:
        return call["errors"]
    said = (call["batter"][0] == "safe" and call["batter"][3] == "error") or any(
        f[0] == "to" and f[2] == "error" for f in call["fates"].values())
    return int(said)


# ---- a record with undo and amendments ---------------------------------------
class Record:
    """What was recorded; the game is always folded from it."""

    def __init__(self, start):
        self.start, self.entries = start, []
        self.game, self.conflicts = start(), []

    def do(self, line):
        word = line.split()[0]
        if word == "undo":
            if not self.entries:
                raise Refused("nothing to take back")
            self.entries.pop()
            self.fold()
        elif word == "amend":
            m = re.fullmatch(r"amend (\d+): (.*)", line)
            n = int(m[1])
            if not 1 <= n <= sum(e[0] == "play" for e in self.entries):
                raise Refused("no such play")
            read_play(m[2])
            self.entries.append(("amend", n, m[2], []))
            self.fold()
            if n in self.conflicts:
                self.entries.pop()
                self.fold()
                raise Refused("illegal at its place")
        elif word in ("safe", "out", "caught", "illegal"):
            g = self.game
            entry = ("play", (g.inning, g.side), g.due(), line, [])
            self.play(g, line, entry[-1])
            self.entries.append(entry)
        else:
            self.game.notice(line)
            self.entries.append(("notice", line))

    @staticmethod
    def play(game, text, asked):
        """An answer holds for the question it was given to: how many could
        have been home first is kept beside it when it is recorded."""
        call = read_play(text)
        if call["answer"] is not None:
            most = most_home_first(game.outs, game.bases, call)
            asked[:] = asked or [most]
            if most and asked != [most]:
                raise Refused("asked again")
        game.play(text)

    def fold(self):
        texts = {e[1]: e[2:] for e in self.entries if e[0] == "amend"}
        g, n, self.conflicts = self.start(), 0, []
        for e in self.entries:
            try:
                if e[0] == "notice":
                    g.notice(e[1])
                elif e[0] == "play":
                    n += 1
                    if g.over != "no" or (g.inning, g.side) != e[1] or g.due() != e[2]:
                        self.conflicts.append(n)
                        continue
                    self.play(g, *texts.get(n, e[3:]))
            except Refused:
                if e[0] == "play":
                    self.conflicts.append(n)
                    g.due_at[g.side] = (g.due_at[g.side] + 1) % 5
        self.game = g

    def seen(self):
        return {**self.game.seen(),
                "conflicts": " ".join(map(str, self.conflicts)) or "none"}


# ---- scenario files ----------------------------------------------------------
def check_file(path):
    """(checks passed, failures as text)."""
    rules, cards, record = Rules(), [None, None], None
    passed, failed, last = 0, [], "accepted"
    with open(path, encoding="utf-8") as f:
        lines = f.read().split("\n")
    for number, raw in enumerate(lines, 1):
        line = " ".join(raw.split("#")[0].split())
        if not line:
            continue
        if line.split()[0] == "refused":
            if last is None:
                raise Unreadable(f"{path}:{number}: stray refused")
            if last == "accepted":
                failed.append(f"{path}:{number}: expected refused, got accepted")
            else:
                passed += 1
            last = None
            continue
        if last not in (None, "accepted"):
            failed.append(f"{path}:{number - 1}: refused unexpectedly: {last}")
        last = None
        word, _, rest = line.partition(" ")
        if word == "expect":
            for item in rest.split(","):
                key, _, want = item.strip().partition(" ")
                got = record.seen().get(key)
                if got == want.strip():
                    passed += 1
                else:
                    failed.append(f"{path}:{number}: {key}: expected {want}, got {got}")
            continue
        last = "accepted"
        try:
            if word == "edition":
                if rest not in ("federation", "youth", "introductory"):
                    raise Unreadable(rest)
            elif word == "set":
                rules.set(*rest.split(" ", 1))
            elif word in SIDES:
                Card(rest, rules)
                cards[SIDES.index(word)] = rest
                if all(cards):
                    kept = list(cards)
                    record = Record(lambda: Game(rules, [Card(c, rules) for c in kept]))
            else:
                record.do(line)
        except Refused as why:
            last = str(why)
        except (Unreadable, ValueError, AttributeError, IndexError) as why:
            failed.append(f"{path}:{number}: unreadable: {why}")
    if last not in (None, "accepted"):
        failed.append(f"{path}: last line refused: {last}")
    return passed, failed


def main(paths):
    passed, failed = 0, []
    for path in paths:
        p, f = check_file(path)
        passed, failed = passed + p, failed + f
    print(*failed, sep="\n", end="\n" if failed else "")
    print(f"{passed} passed, {len(failed)} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
