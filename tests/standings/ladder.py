"""The table of a pool, computed from the text of the rules with exact fractions.

The text (WBSC news of 13 May 2024 on team quality balance, published, and the
competition's own policies, from memory):

  The standing is by the win-loss record of all games. Ties are settled in the
  order of this list; a criterion that does not break the tie is no longer
  considered, and the next one is used. When one separates some of the teams,
  those still tied go on with the next one.
    1. the games between the teams tied;
    2. team quality balance in the games between the teams tied: runs scored /
       innings at bat - runs allowed / innings on defence, an out being a third
       of an inning;
    3. the same with earned runs;
    4. the batting average in the games between the teams tied;
    5. lot.
  A forfeit counts as the set score to nil over the set innings, its runs
  earned and nobody at bat. What is set is set for each game by the rules that
  it is played by. A game not settled is left out or counts as scored
  so far, a level one as half a win for each. A team without a game stands
  below those with one. Where a criterion cannot be worked out for one of the
  tied (no game, inning or at-bat, or figures that nobody kept), it separates
  no one.
"""
from fractions import Fraction

CRITERIA = ["wins-losses", "among-tied", "balance", "earned-balance",
            "batting-average", "lot"]


class Unknown(Exception):
    """A criterion that cannot be worked out for these teams."""


def counting(pool):
    """The games that count, as (guest, home, guest's line, home's line)."""
    out = []
    for game in pool["games"]:
        rules = game["rules"]
        outs, given = 3 * rules["innings"], rules["forfeit"]
        winner = {"runs": given, "outs": outs, "earned": given, "batting": [0, 0]}
        loser = {"runs": 0, "outs": outs, "earned": 0, "batting": [0, 0]}
        how = game["standing"]
        if how == "forfeit-by-guest":
            lines = [loser, winner]
        elif how == "forfeit-by-home":
            lines = [winner, loser]
        elif how == "unsettled" and rules["unsettled"] == "left-out":
            continue
        elif how == "tied" and rules["tied"] == "left-out":
            continue
        else:
            lines = game["lines"]
        out.append((game["guest"], game["home"], *lines))
    return out


def of_team(games, team):
    """(own line, other's line) of each game of a team."""
    for guest, home, first, second in games:
        if guest == team:
            yield first, second
        elif home == team:
            yield second, first


def record(games, team):
    played = [(own["runs"], other["runs"]) for own, other in of_team(games, team)]
    return (sum(a > b for a, b in played), sum(a < b for a, b in played),
            sum(a == b for a, b in played))


def winning(games, team):
    won, lost, level = record(games, team)
    if won + lost + level == 0:
        raise Unknown
    return (won + Fraction(level, 2)) / (won + lost + level)


def balance(games, team, runs):
    mine = list(of_team(games, team))
    if not mine or any(line[runs] is None for _, _, a, b in games for line in (a, b)):
        raise Unknown
    at_bat = Fraction(sum(own["outs"] for own, _ in mine), 3)
    defence = Fraction(sum(other["outs"] for _, other in mine), 3)
    if not at_bat or not defence:
        raise Unknown
    return (sum(own[runs] for own, _ in mine) / at_bat
            - sum(other[runs] for _, other in mine) / defence)


def batting(games, team):
    mine = list(of_team(games, team))
    if not mine or any(line["batting"] is None for _, _, a, b in games for line in (a, b)):
        raise Unknown
    at_bats = sum(own["batting"][0] for own, _ in mine)
    if not at_bats:
        raise Unknown
    return Fraction(sum(own["batting"][1] for own, _ in mine), at_bats)


def drawn(lot, team):
    if team not in lot:
        raise Unknown
    return Fraction(-(lot.index(team) + 1))


def measure(pool, games, criterion, among, team):
    between = [g for g in games if g[0] in among and g[1] in among]
    return {
        "wins-losses": lambda: winning(games, team),
        "among-tied": lambda: winning(between, team),
        "balance": lambda: balance(between, team, "runs"),
        "earned-balance": lambda: balance(between, team, "earned"),
        "batting-average": lambda: batting(between, team),
        "lot": lambda: drawn(pool["lot"], team),
    }[criterion]()


def settle(pool, games, among, rung, steps):
    """The teams from best to worst as a list of sets still tied at the end."""
    criterion = CRITERIA[rung]
    values = {}
    comparable = True
    for team in among:
        try:
            values[team] = measure(pool, games, criterion, among, team)
        except Unknown:
            values[team] = None
    if criterion != "wins-losses" and None in values.values():
        comparable, values, groups = False, {}, [set(among)]
    else:
        known = sorted({v for v in values.values() if v is not None}, reverse=True)
        groups = [{t for t in among if values[t] == v} for v in known]
        idle = {t for t in among if values[t] is None}
        groups += [idle] if idle else []
    steps.append({"criterion": criterion, "among": set(among), "groups": groups,
                  "comparable": comparable, "values": values})
    if rung + 1 == len(CRITERIA):
        return groups
    out = []
    for group in groups:
        out += settle(pool, games, group, rung + 1, steps) if len(group) > 1 else [group]
    return out


def table(pool):
    """Groups from best to worst, and the steps."""
    steps = []
    games = counting(pool)
    return settle(pool, games, set(range(len(pool["teams"]))), 0, steps), steps, games
