"""Tape work: carrying out the steps, planting errors, reading verdicts."""

import math

from shapely.geometry import LineString, Point

def random_edition(rng):
    """An edition with changed lengths, some of them odd millimetres."""
    if rng.random() < 0.3:
        return {}
    infield = rng.randint(6000, 16000)
    return {
        "set": {
            "infield-side": f"{infield / 1000:.3f}",
            "fair-side": f"{(infield + rng.randint(2500, 8000)) / 1000:.3f}",
            "no-hit": f"{rng.randint(3000, 4800) / 1000:.3f}",
            "batters-box": f"{rng.randint(1500, 3500) / 1000:.3f}",
            "safe-area": f"{rng.randint(800, 2000) / 1000:.3f}",
        }
    }


def meet(p, a, q, b, left):
    """Where two tapes meet, by the cosine rule."""
    d = p.distance(q)
    cos = (a * a + d * d - b * b) / (2 * a * d)
    if abs(cos) > 1:
        return None
    way = math.atan2(q.y - p.y, q.x - p.x) + math.acos(cos) * (1 if left else -1)
    return Point(p.x + a * math.cos(way), p.y + a * math.sin(way))


def carry_out(steps, length):
    """Follows the steps with the lengths a tape shows; returns the marks."""
    marks, wrong = {}, []
    for step in steps:
        task = step["task"]
        if "start" in task:
            marks[task["start"]] = Point(0, 0)
        elif "along" in task:
            way = -1 if task["beyond"] else 1
            start = marks[task["from"]]
            marks[task["along"]] = Point(start.x + way * length(task["length"]), start.y)
        elif "three_four_five" in task:
            a, b, c = map(length, task["three_four_five"])
            if abs(math.hypot(a, b) - c) > 1e-9:
                wrong.append("3-4-5 is no right angle")
        elif "cross" in task:
            (p, a), (q, b) = task["first"], task["second"]
            if p not in marks or q not in marks:
                wrong.append(f"{task['cross']} is measured from a mark not yet made")
                continue
            found = meet(marks[p], length(a), marks[q], length(b), task["left"])
            if found is None:
                wrong.append(f"the tapes for {task['cross']} do not meet")
            else:
                marks[task["cross"]] = found
    return marks, wrong


def check_set_out(engine, rng):
    ask = {"ask": "set_out", **random_edition(rng)}
    answer = engine.ask(ask)
    if "error" in answer:
        return ask, [answer["error"]]
    wrong = []
    for units, length in (
        ("cm", lambda l: l["cm"] / 100),
        ("quarter_inches", lambda l: l["quarter_inches"] * 0.00635),
    ):
        if units == "quarter_inches":
            # The 3-4-5 in feet is worked out in whole feet by the words alone.
            steps = [s for s in answer["steps"] if "three_four_five" not in s["task"]]
        else:
            steps = answer["steps"]
        marks, more = carry_out(steps, length)
        wrong += more
        for name, place in answer["marks"].items():
            if name not in marks:
                wrong.append(f"{name} is never made")
            elif marks[name].distance(Point(place)) > 0.01:
                wrong.append(f"{name} is {marks[name].distance(Point(place)) * 100:.2f} cm off in {units}")
    diagonal = LineString([answer["marks"]["Home"], answer["marks"]["FarCorner"]]).length
    told = [s["task"]["close"]["m"] for s in answer["steps"] if "close" in s["task"]]
    if len(told) != 1 or abs(told[0] - diagonal) > 1e-4:
        wrong.append("closing diagonal")
    return ask, wrong


def check_closing(engine, rng):
    """A square that leans: the two far marks slid sideways together."""
    base = random_edition(rng)
    marks = engine.ask({"ask": "set_out", **base})["marks"]
    side = marks["RightCorner"][0]
    lean = rng.choice([-1, 1]) * rng.uniform(0.01, 0.30)
    up = math.sqrt(side * side - lean * lean)
    far, left, right = Point(side + lean, up), Point(lean, up), Point(side, 0)
    ask = {
        "ask": "close",
        **base,
        "from_home": Point(0, 0).distance(far),
        "across": right.distance(left),
        "allowed": 0.005,
    }
    answer = engine.ask(ask)
    # A lean to the right is mended to the left, and by as much.
    if answer.get("verdict") != "leans":
        return ask, [f"a lean of {lean:.3f} m was taken as {answer}"]
    wrong = []
    if answer["left"] != (lean > 0):
        wrong.append("the wrong way")
    if abs(answer["cm"] - abs(lean) * 100) > 0.51:
        wrong.append(f"{answer['cm']} cm instead of {abs(lean) * 100:.2f}")
    return ask, wrong
