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
              "collision", "interference", "other", "missed")
BEFORE_FIRST = ("base", "tagged", "interference", "collision", "other")
STOPPAGES = ("weather", "darkness", "time", "other")
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
        self.early_is_dead = False              # mem: policy
        self.called_after = 3                   # mem: policy
        self.ties = False                       # mem: policy
        self.lead_when = "complete"             # mem: policy
        self.larger_stands = False              # mem: policy
        self.awards = None                      # mem: policy
        self.turn_corrected = False             # cp: the batter due is out

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
        elif name == "left-early":
            self.early_is_dead = value == "dead"
        elif name == "called-game":
            self.called_after = int(value)
        elif name == "ties":
            self.ties = value == "allowed"
        elif name == "run-ahead-when":
            self.lead_when = value
        elif name == "forfeit-larger":
            self.larger_stands = value == "larger-stands"
        elif name == "awards":
            self.awards = None if value == "umpire" else int(value)
        elif name == "out-of-turn":
            self.turn_corrected = value == "corrected"
        elif name not in ("no-hit", "no-hit-shape", "fence-height",
                          "illegal-putout", "run-scoring-fly", "second-warning",
                          "game-clock", "half-inning-clock", "hit-clock", "time-out-clock",
                          "series", "series-home", "hand-raise",
                          "safe-area", "fair-side", "infield-side",
                          "no-hit-minimum", "batters-box", "base-side",
                          "unsettled-games", "leaders-turns", "leaders-chances",
                          "tied-games", "ejection-carries"):
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
        self.short = len(self.order) < 5        # pub [G]: such a team forfeits
        if len(self.order) > 5:
            raise Refused("five hitters")
        if len(everyone) > rules.roster:
            raise Refused("roster")
        if len(set(everyone)) != len(everyone) or max(everyone) > 99:
            raise Refused("numbers")
        self.rules = rules
        if not self.short and not self.genders_fit(self.order):
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

    def renumber(self, old, new):
        if old not in self.gender:
            raise Refused("not on the card")
        if new in self.gender:
            raise Refused("number twice")
        self.gender[new] = self.gender.pop(old)
        swap = lambda n: new if n == old else n  # noqa: E731
        self.order, self.starters, self.reserves = (
            [swap(n) for n in some] for some in (self.order, self.starters, self.reserves))
        self.fresh, self.withdrawn, self.gone, self.returned = (
            {swap(n) for n in some}
            for some in (self.fresh, self.withdrawn, self.gone, self.returned))

    def add(self, word):
        m = re.fullmatch(r"(\d+)([FM]?)", word)
        n = int(m[1])
        if n in self.gender or len(self.gender) >= self.rules.roster or (
                self.rules.gender and not m[2]):
            raise Refused("the card would not be accepted so")
        self.gender[n] = m[2]
        self.reserves.append(n)
        self.fresh.add(n)

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
        """The batter due stands on a base: bases loaded, two out, on third; or
        where the tie-break puts the nearest on the lead another one (derived)."""
        return self.over == "no" and self.due() in self.bases.values()

    def short(self):
        return self.card[0].short or self.card[1].short

    # ---- a play -----------------------------------------------------------
    def play(self, text):
        if self.over != "no":
            raise Refused("over")
        if self.held:
            raise Refused("held")
        if self.short():
            raise Refused("fewer than five")
        call = read_play(text)
        order = self.card[self.side].order
        hitter = call["hitter"] if call["hitter"] is not None else self.due()
        if hitter not in order or hitter in self.bases.values():
            raise Refused("cannot hit now")
        occupied = set(self.bases)
        people, score_order, note = judge(self.outs, self.bases, call, self.rules)
        side, field = self.side, 1 - self.side
        if people[0] != "at bat":
            self.courtesy = None
            self.turns[side] += 1
            self.due_at[side] = (order.index(hitter) + 1) % 5
        who = {0: hitter, **self.bases}
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
        if people[0] != "at bat":
            self.hits[side] += call_is_hit(call, force_outs(occupied, call))
        self.errors[field] += call_errors(call)
        unscored = sum(end == 4 for end in people.values()) - len(runs)
        if last and self.score[1] > self.score[0]:
            self.left[side] += len(self.bases) + unscored
            self.finish("walk-off", 1)
        elif self.outs == 3:
            self.left[side] += len(self.bases) + unscored
            self.end_half()
        elif side == 1 and self.rules.lead_when == "at-once" and self.home_is_far_ahead():
            self.left[side] += len(self.bases) + unscored
            self.finish("run-ahead", 1)

    def home_is_far_ahead(self):
        """The lead of the run-ahead rule in the home side's hands, the guests
        having had this inning's turn."""
        lead = self.score[1] - self.score[0]
        return self.inning < self.rules.innings and any(
            lead >= l and self.inning >= n for l, n in self.rules.run_ahead)

    def end_half(self):
        guest, home = self.score
        if self.side == 0:
            if self.inning >= self.rules.innings and home > guest:
                return self.finish("regulation", 1)
            if self.rules.lead_when != "complete" and self.home_is_far_ahead():
                return self.finish("run-ahead", 1)
            return self.open_half(self.inning, 1)
        lead, ahead = abs(guest - home), int(home > guest)
        if self.inning >= self.rules.innings:
            if lead:
                return self.finish("regulation" if self.inning == self.rules.innings
                                   else "extra", ahead)
        elif any(lead >= l and self.inning >= n for l, n in self.rules.run_ahead):
            return self.finish("run-ahead", ahead)
        return self.open_half(self.inning + 1, 0)

    def close_half(self):
        """The other side is up although not all outs of this half are known."""
        if not self.held:
            self.left[self.side] += len(self.bases)
            self.open_half(self.inning + self.side, 1 - self.side)

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
        self.over, self.winner = how, SIDES[winner] if winner in (0, 1) else "none"

    # ---- notices ----------------------------------------------------------
    def notice(self, text):
        word, _, rest = text.partition(" ")
        args = rest.split()
        if word in ("protest", "remark"):
            return
        if word == "warn":
            if len(args) > 1 and args[1].isdigit() and (
                    int(args[1]) not in self.card[SIDES.index(args[0])].gender):
                raise Refused("not on the card")
            return
        if word == "eject" and args[1] == "coach":
            return
        if word == "card" and args[2] == "is":
            return self.renumber(SIDES.index(args[0]), int(args[1]), int(args[3]))
        if word == "forfeit" and self.over in ("no", "suspended"):
            return self.lose(2 if args[0] == "both" else SIDES.index(args[0]))
        if word == "resume" and self.over == "suspended":
            self.over, self.winner = "no", "none"
            return
        if word == "eject" and self.over not in ("no", "suspended"):
            card, n = self.card[SIDES.index(args[0])], int(args[1])
            if len(args) > 2 or n not in card.gender or n in card.gone:
                raise Refused("over")
            card.gone.add(n)
            return
        if self.over != "no":
            raise Refused("over")
        if self.short():
            raise Refused("fewer than five")
        if word == "hold":
            if self.held:
                raise Refused("held already")
            self.held = True
        elif word == "resume":
            if not self.held:
                raise Refused("not held")
            self.held = False
        elif word == "no-play":
            if self.held:
                raise Refused("held")
        elif word == "end":
            if args[0] not in STOPPAGES:
                raise Unreadable(text)
            self.call_off()
        elif word == "card":
            self.card[SIDES.index(args[0])].add(args[2])
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
        """One side, or both (2), give the game up."""
        self.left[self.side] += len(self.bases)
        lead = 0 if side == 2 else self.score[1 - side] - self.score[side]
        if not (self.rules.larger_stands and lead > self.rules.forfeit):
            self.score = [0, 0]
            if side != 2:
                self.score[1 - side] = self.rules.forfeit
        self.finish("forfeit", 1 - side if side != 2 else 2)

    def call_off(self):
        """The umpire calls the game (mem, OBR 7.01(c), 7.02; the numbers are
        policies): it counts, is a tie, or is suspended."""
        guest, home = self.score
        full, guests_had = self.inning - 1, self.inning - (self.side == 0)
        need = self.rules.called_after
        counts = full >= need or (home > guest and guests_had >= need)
        self.held = False
        if counts and (guest != home or self.rules.ties):
            self.left[self.side] += len(self.bases)
            self.finish("called", 2 if guest == home else int(home > guest))
        else:
            self.finish("suspended", 2)

    def renumber(self, side, old, new):
        self.card[side].renumber(old, new)
        if side == self.side:
            self.bases = {b: new if n == old else n for b, n in self.bases.items()}
            if self.last_out == old:
                self.last_out = new
            if self.courtesy == old:
                self.courtesy = new

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
            card.gone.add(out)
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
            raise Refused("the batter due is not on base")
        if n not in self.may_run():
            raise Refused("neither the last out nor a reserve")
        for base, runner in self.bases.items():
            if runner == self.due():
                self.bases[base] = n
        self.courtesy = n if n not in self.card[self.side].order else None

    def off_base(self, n):
        """A reserve who runs for the batter due leaves at once when hurt, sent
        off or needed: the batter due stands there again (derived: an injury
        does not wait)."""
        if n is not None and n == self.courtesy:
            self.courtesy = None
            for base, runner in self.bases.items():
                if runner == n:
                    self.bases[base] = self.due()

    # ---- what can be seen -------------------------------------------------
    def proof(self):
        return [self.turns[s] + self.placed[s] - self.score[s] - self.left[s]
                - self.putouts[1 - s]
                - (len(self.bases) if s == self.side and self.over in ("no", "suspended")
                   else 0)
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
REASON = r"(?: (hit|throw|error|award))?"
CHARGED = r"((?: [1-3SM][BSF])*)"


def read_play(text):
    """The call in a play line, as a dictionary."""
    call = {"answer": None, "errors": 0, "fates": {}, "hitter": None, "stars": 0}
    m = re.match(r"batter (\d+) ; ", text)
    if m:
        call["hitter"], text = int(m[1]), text[m.end():]
    text = " ".join(text.replace("|", " | ").replace(";", " ; ").replace(",", " , ").split())
    m = re.search(r" (by [1-3SM][BSF].*)$", text)
    if m:
        tail, text = m[1].split(), text[:m.start()]
        word = None
        for t in tail:
            if t in ("by", "error"):
                word = t
            elif t.rstrip("*") in POSITIONS and word:
                call["errors"] += word == "error"
                call["stars"] += t.endswith("*")
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
    read_batter(" ".join(head.split()), call)
    for part in filter(str.strip, rest.split(",")):
        w = part.split()
        base, fate = int(w[0]), " ".join(w[1:])
        if base in call["fates"]:
            raise Refused("named twice")
        call["fates"][base] = read_fate(fate, call)
    return call


def charge(call, *lists):
    for some in lists:
        call["errors"] += len((some or "").split())


def read_batter(head, call):
    m = re.search(r" error((?: [1-3SM][BSF])+)$", head)
    if m and re.search(r"^(?!safe)|^safe.* [a-z]+$", head[:m.start()]):  # after a reason
        charge(call, m[1])
        head = head[:m.start()]
    m = re.fullmatch(r"safe ([1-4])(?: (hit|error|choice|award))?" + CHARGED
                     + r"((?: error(?: [1-3SM][BSF])+)?)"
                     + r"(?: then (?:out(?: at)? ([1-4])(?: (\S+))?|to ([1-4])" + REASON
                     + CHARGED + r"))?", head)
    if m:
        charge(call, m[3], m[4].replace(" error", ""), m[9])
        call["batter"] = ("safe", int(m[1]), int(m[5]) if m[5] else None, m[2] or "hit")
        call["batter-how"] = m[6] or "tagged"
        call["batter-on"] = (int(m[7]), m[8] or "error") if m[7] else None
        if call["batter-how"] not in RUNNER_OUT:
            raise Unreadable(head)
        return
    words = head.split()
    call["batter-on"] = None
    if words and words[0] == "out" and (len(words) == 1 or (
            len(words) == 2 and words[1] in BEFORE_FIRST)):
        call["batter"] = ("out",)
    elif words in (["caught"], ["no-hit"]):
        call["batter"] = (words[0],)
    elif len(words) == 2 and words[0] == "illegal" and words[1] in ILLEGAL:
        call["batter"] = ("illegal", words[1])
    else:
        raise Unreadable(head)
    if call["errors"] and words[0] in ("illegal", "no-hit"):   # derived: a dead ball
        raise Refused("no error on a dead ball")


def read_fate(fate, call):
    if fate == "holds":
        return ("holds",)
    m = re.search(r" error((?: [1-3SM][BSF])+)$", fate)
    if m and re.search(r"(error|throw|award|hit|holds|out\b.*)$", fate[:m.start()]):
        charge(call, m[1])                      # a charge after the reason or the out
        fate = fate[:m.start()]
        if fate == "holds":
            return ("holds",)
    m = re.fullmatch(r"to ([1-4])" + REASON + CHARGED
                     + r"(?: then to ([1-4])" + REASON + CHARGED + ")?", fate)
    if m:
        charge(call, m[3], m[6])
        if m[4]:
            return ("to-on", int(m[1]), m[2] or "hit", int(m[4]), m[5] or "error")
        return ("to", int(m[1]), m[2] or "hit")
    m = re.fullmatch(r"to ([1-4])" + REASON + r" then out(?: at)? ([1-4])(?: (\S+))?", fate)
    if m and (m[4] or "tagged") in RUNNER_OUT:
        return ("to-out", int(m[1]), int(m[3]), m[4] or "tagged")
    m = re.fullmatch(r"out(?: at ([1-4]))? (\S+)", fate)
    if m and m[2] in RUNNER_OUT:
        return ("out", int(m[1]) if m[1] else None, m[2])
    raise Unreadable(fate)


def runs_on(call):
    """Whether the batter ran to first, safe or not."""
    return call["batter"][0] in ("safe", "out")


def early(call, base):
    return call["fates"].get(base, ("holds",))[-1] == "left-early"


def has_to_run(bases, call, base):
    """Every base behind taken at the hit, by one who did not leave early."""
    return runs_on(call) and all(
        x in bases and not early(call, x) for x in range(1, base))


def out_after_safe(reached, place, how):
    """Put out after a base was reached: there, or trying for one ahead."""
    if reached == 4 or place < reached or (
            place == reached and how in ("passed", "missed")):
        raise Refused("not at a base reached or ahead of it")
    if how in ("forced", "not-back", "left-early"):
        raise Refused("that cannot befall one who was safe")


def further(rules, start, reached, to, why):
    if to <= reached:
        raise Refused("no further base")
    if why == "hit":
        raise Refused("further on the same hit")
    if why == "throw":
        out_of_play(rules, (start, reached), to)


def out_of_play(rules, start, to):
    """mem: so many bases, a policy; from where one stood, or had come to."""
    if rules.awards and all(to != min(s + rules.awards, 4) for s in start):
        raise Refused("other bases are given")


def not_alone(bases, call, base, place, how):
    """mem (OBR 5.06(a)(2), 5.09(b)(9)): somebody to pass, somebody to share."""
    ahead = [b for b in bases if b > base]
    if how == "passed" and not ahead:
        raise Refused("nobody ahead")
    if how == "shared":
        with_whom = [b for b in ahead if place is None or b <= place]
        with_whom += [b for b in bases if b < base]
        if base and call["batter"][0] == "safe" and (
                place is None or call["batter"][1] >= place):
            with_whom.append(0)
        if not with_whom:
            raise Refused("nobody to share with")


def judge(outs, bases, call, rules=None):
    """(where each person ends, who came home in order, how many of them count).

    People are known by the base held at the hit, 0 for the batter. The last
    value is None when every run counts.
    """
    rules = rules or Rules()
    kind, fates = call["batter"][0], call["fates"]
    dead = kind in ("illegal", "no-hit")
    if dead and call["errors"]:
        raise Refused("no error on a dead ball")
    for b in fates:
        if b not in bases:
            raise Refused("nobody there")
    if kind == "safe" and call["batter"][3] == "choice" and not bases:
        raise Refused("choice without a runner")
    if kind == "illegal" and call["batter"][1] == "turn" and rules.turn_corrected:
        raise Refused("the right batter hits")
    end, floor = {}, 0
    # the batter
    if kind == "no-hit":
        end[0] = "at bat"
    elif kind == "safe" and call["batter"][2] is None:
        end[0] = call["batter"][1]
        if call["batter-on"]:
            further(rules, 0, end[0], *call["batter-on"])
            end[0] = call["batter-on"][0]
        floor = min(end[0] + 1, 4)
    else:
        end[0] = "out"
        if kind == "safe":
            reached, place, how = call["batter"][1], call["batter"][2], call["batter-how"]
            out_after_safe(reached, place, how)
            not_alone(bases, call, 0, place, how)
            floor = reached if how == "passed" else place
    # the runners, from behind
    for b in sorted(bases):
        fate = fates.get(b)
        if fate is None:
            end[b] = max(b, floor)
        elif fate[0] == "holds":
            end[b] = b
        elif fate[0] in ("to", "to-on"):
            if fate[1] <= b:
                raise Refused("not ahead")
            if dead and not set(fate[2::2]) == {"award"}:
                raise Refused("dead ball")
            if fate[2] == "throw":
                out_of_play(rules, (b,), fate[1])
            if fate[0] == "to-on":
                further(rules, b, fate[1], fate[3], fate[4])
            end[b] = fate[3] if fate[0] == "to-on" else fate[1]
        else:
            end[b] = "out"
            place, how = fate[-2], fate[-1]
            if fate[0] == "to-out":
                if fate[1] <= b:
                    raise Refused("not ahead")
                if dead:
                    raise Refused("dead ball")
                out_after_safe(fate[1], place, how)
            if place is not None and place < b + (how == "missed"):
                raise Refused("out behind the own base")
            if how == "not-back" and kind != "caught":
                raise Refused("no catch")
            if dead and how not in DEAD_BALL_OUT:
                raise Refused("dead ball")
            if how == "left-early" and rules.early_is_dead and kind != "no-hit":
                raise Refused("play was stopped before the hit")
            if how == "forced":
                if fate[0] == "to-out" or not has_to_run(bases, call, b):
                    raise Refused("no force")
                if place not in (None, b + 1):
                    raise Refused("a force is at the next base")
                place = b + 1
            not_alone(bases, call, b, place, how)
            if how == "passed":  # those passed may stay where they were
                place = fate[1] if fate[0] == "to-out" else None
            if how == "left-early":
                place = None
            if place is not None:
                floor = max(floor, place)
            continue
        if end[b] < floor:
            raise Refused("base taken or passed")
        floor = max(floor, min(end[b] + 1, 4))
    put_out = [b for b in end if end[b] == "out"]
    before = [b for b in put_out if b and early(call, b)]
    home = sorted((b for b in end if end[b] == 4), reverse=True)
    if outs + len(put_out) > 3:
        raise Refused("more than three outs")
    answer = call["answer"]
    if outs + len(before) == 3:
        # mem (OBR 5.04(a)(3)): the third out came before the hit: nothing counts.
        if answer is not None:
            raise Refused("no question")
        return {b: "out" if b in put_out else b or "at bat" for b in end}, [], None
    if outs + len(put_out) < 3:
        if answer is not None:
            raise Refused("no question")
        return end, home, None
    # The third out. Who left early, a catch or an illegal hit is first in time.
    forces = force_outs(bases, call)
    open_outs = [b for b in put_out if b not in forces and b not in before
                 and not (b == 0 and kind in ("out", "caught", "illegal"))]
    can = [b for b in home if open_outs and b > min(open_outs)]
    if not can:
        # That nobody scored may be said after a tag; after a force it is known.
        if answer is not None and not open_outs:
            raise Refused("no question")
        if answer not in (None, 0):
            raise Refused("more runs than came home")
        return end, home, 0
    if answer is None:
        raise Refused("unanswered")
    count = len(can) if answer == "all" else answer
    if count > len(can):
        raise Refused("more runs than came home")
    return end, home, count


def most_home_first(outs, bases, call, rules=None):
    """How many could have been home before the third out."""
    for n in (4, 3, 2, 1):
        try:
            judge(outs, bases, {**call, "answer": n}, rules)
            return n
        except Refused:
            pass
    return 0


def force_outs(bases, call):
    """The bases of the runners whose out is a force, called so or not.

    mem (OBR 5.06(a)(2), 5.08(a), 5.09(b)(6), 5.09(c)(2), Definitions): who must
    run because the batter runs and every base behind is taken is out by force
    when the next base is touched first, when tagged short of it or on a base
    that two stand on, or on appeal when missed. Once anyone behind is out
    nobody has to run any more; a tag may then have come before or after.
    """
    if not runs_on(call):
        return set()
    found, nobody_out = set(), call["batter"][0] == "safe" and call["batter"][2] is None
    for b in (1, 2, 3):
        if b not in bases or early(call, b):
            break
        fate = call["fates"].get(b, ("default",))
        if fate[0] == "out":
            short = fate[1] is None or fate[1] in (b, b + 1)
            if fate[2] == "forced" or fate[2] == "missed" and short or (
                    fate[2] in ("tagged", "shared") and nobody_out and short):
                found.add(b)
        if "out" in fate[0]:
            nobody_out = False
    return found


def call_is_hit(call, forces):
    """mem (OBR 9.05(b)(1), (2)): a force out of a runner takes the hit away."""
    b = call["batter"]
    return int(b[0] == "safe" and b[3] == "hit" and not forces)


def call_errors(call):
    if call["errors"]:
        return call["errors"]
    said = (call["batter"][0] == "safe" and (
        call["batter"][3] == "error" or (call["batter-on"] or ("", ""))[1] == "error")) or any(
        f[0] in ("to", "to-on") and "error" in f[2::2] for f in call["fates"].values())
    return int(said)


# ---- a record with undo and amendments ---------------------------------------
PLAY_WORDS = ("safe", "out", "caught", "illegal", "no-hit")


class Record:
    """What was recorded; the game is always folded from it.

    An entry is ["play", half, place due, line, memo], ["notice", line],
    ["amend", index of the play, line, memo] or ["replay", index of the play].
    A memo keeps what was so when the line was recorded.
    """

    def __init__(self, start):
        self.start, self.entries = start, []
        self.game, self.conflicts = start(), []
        self.hitter = None

    def counted(self):
        """The indexes of the plays that no replay has taken out."""
        gone = set()
        for at, e in enumerate(self.entries):
            if e[0] == "replay":
                gone.update(range(e[1], at))
        return [at for at, e in enumerate(self.entries)
                if e[0] in ("play", "notice") and at not in gone]

    def plays(self):
        return [at for at in self.counted() if self.entries[at][0] == "play"]

    def target(self, n):
        if not 1 <= n <= len(self.plays()):
            raise Refused("no such play")
        return self.plays()[n - 1]

    def do(self, line):
        word = line.split()[0]
        if word == "batter":
            self.hitter = line
            return
        if word in PLAY_WORDS and self.hitter:
            line, self.hitter = f"{self.hitter} ; {line}", None
        if word == "undo":
            if not self.entries:
                raise Refused("nothing to take back")
            self.entries.pop()
            self.fold()
        elif word == "amend":
            m = re.fullmatch(r"amend (\d+): (.*)", line)
            n = int(m[1])
            target = self.target(n)
            read_play(m[2])
            self.entries.append(["amend", target, m[2], {}])
            self.fold()
            if n in self.conflicts:
                self.entries.pop()
                self.fold()
                raise Refused("illegal at its place")
        elif word == "replay":
            self.entries.append(["replay", self.target(int(line.split()[1]))])
            self.fold()
        elif word in PLAY_WORDS:
            g, memo = self.game, {}
            entry = ["play", (g.inning, g.side), g.due_at[g.side], line, memo]
            stars(g, line)
            before = g.due_at[g.side]
            self.play(g, line, memo)
            memo["moves"] = [(len(self.entries), (g.due_at[entry[1][1]] - before) % 5)]
            self.entries.append(entry)
        else:
            self.game.notice(line)
            self.entries.append(["notice", line])

    @staticmethod
    def play(game, text, memo):
        """An answer holds for the question it was given to: how many could
        have been home first is kept beside it when it is recorded. Who was
        said to hold and would have held unsaid is no contradiction later, nor is
        an answer that nobody asks for any more."""
        call = read_play(text)
        if call["answer"] is not None:
            most = most_home_first(game.outs, game.bases, call, game.rules)
            memo.setdefault("asked", most)
            if most and memo["asked"] != most:
                raise Refused("asked again")
        game.play(text)
        memo["fitted"] = True

    def play_as_meant(self, game, text, memo):
        try:
            self.play(game, text, memo)
        except Refused:
            if not memo.get("fitted"):
                raise
            text = without_holds(text)
            try:
                self.play(game, text, memo)
            except Refused as why:
                if str(why) != "no question":
                    raise
                game.play(re.sub(r"\s*;[^;]*? counts?(?= by| error|$)", "", text))

    def fold(self):
        amended, latest = {}, -1
        for at, e in enumerate(self.entries):
            if e[0] == "amend":
                amended[e[1]], latest = (at, e), at
        g, n, self.conflicts = self.start(), 0, []
        shifts, broken, adrift = [], False, [False, False]
        for at in self.counted():
            e = self.entries[at]
            if e[0] == "notice":
                try:
                    g.notice(e[1])
                except Refused:
                    pass
                continue
            n += 1
            half, memo = e[1], e[4]
            place = (e[2] + sum(places for by, side, places in shifts
                                if by > at and side == half[1])) % 5
            if g.over != "no":
                self.conflicts.append(n)
                continue
            # Around plays that do not fit, the game follows the record.
            if broken and (g.inning, g.side) < half:
                g.close_half()
                broken = False
            if (g.inning, g.side) == half and adrift[g.side]:
                g.due_at[g.side] = place
            if (g.inning, g.side) != half or g.due_at[g.side] != place:
                self.conflicts.append(n)
                if (g.inning, g.side) == half:
                    broken = adrift[g.side] = True
                continue
            by, (_, _, text, own) = amended.get(at, (at, (0, 0, e[3], memo)))
            moves = memo["moves"]
            moves[:] = [m for m in moves if m[0] < len(self.entries)
                        and (m[0] == at or self.entries[m[0]][0] == "amend")]
            try:
                self.play_as_meant(g, text, own)
                moved = (g.due_at[half[1]] - place) % 5
                adrift[half[1]] = False
                broken = broken and (g.inning, g.side) == half
            except Refused:
                self.conflicts.append(n)
                moved = moves[-1][1]
                g.due_at[g.side] = (g.due_at[g.side] + moved) % 5
                broken = True
            if moves[-1][1] != moved:
                moves.append((max(by, latest), moved))
            for (_, was), (since, now) in zip(moves, moves[1:]):
                shifts.append((since, half[1], (now - was) % 5))
        self.game = g

    def seen(self):
        return {**self.game.seen(),
                "conflicts": " ".join(map(str, self.conflicts)) or "none"}


def stars(game, line):
    """No more starred putouts than the play has outs."""
    call = read_play(line)
    if call["stars"]:
        people, _, _ = judge(game.outs, game.bases, call, game.rules)
        if call["stars"] > sum(end == "out" for end in people.values()):
            raise Refused("more putouts than outs")


def without_holds(text):
    """The line with nobody said to hold."""
    head, bar, rest = text.partition("|")
    if not bar:
        return text
    m = re.search(r"\s*(;| by | error [1-3SM][BSF]).*$", rest)
    rest, tail = (rest[:m.start()], rest[m.start():]) if m else (rest, "")
    kept = [f for f in rest.split(",") if not f.strip().endswith("holds")]
    return head + ("|" + ",".join(kept) if kept else "") + tail


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
        word, _, rest = line.partition(" ")
        if last == "five hitters" and word in SIDES + ("forfeit",):
            last = "accepted"
        if last not in (None, "accepted"):
            failed.append(f"{path}:{number - 1}: refused unexpectedly: {last}")
        last = None
        if word == "expect":
            for item in rest.split(","):
                key, _, want = item.strip().partition(" ")
                if key in ("batting", "fielding"):
                    continue                    # not told a second time here
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
                card = Card(rest, rules)
                cards[SIDES.index(word)] = rest
                if card.short:
                    last = "five hitters"
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
