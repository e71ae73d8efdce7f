"""Random spaces, and the judgement of the court fitted into each."""

import math

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import MultiPoint, Point, Polygon, box

# Values of the built-in editions in millimetres: WBSC, Baseball5 glossary,
# "The Field" (published); the introductory ones are common practice.
EDITIONS = {
    "federation": dict(infield=13000, fair=18000, no_hit=4500, least=3000),
    "youth": dict(infield=13000, fair=18000, no_hit=3000, least=3000),
    "introductory": dict(infield=13000, fair=18000, no_hit=3000, least=2000),
}
BOX, BASE, SAFE = 3000, 500, 1500
# What the engine and this check may differ by, in metres.
HAIR = 1e-5


def random_space(rng):
    kind = rng.choice(["rectangle", "convex", "star", "ell", "cut"])
    size = rng.uniform(11, 34)
    if kind == "rectangle":
        outline = box(0, 0, size, size * rng.uniform(0.5, 1.3))
    elif kind == "convex":
        points = [(rng.gauss(0, size / 2.5), rng.gauss(0, size / 2.5)) for _ in range(rng.randint(4, 14))]
        outline = MultiPoint(points).convex_hull
    elif kind == "star":
        n = rng.randint(5, 11)
        turns = sorted(rng.uniform(0, 2 * math.pi) for _ in range(n))
        outline = Polygon(
            [(r * math.cos(t), r * math.sin(t)) for t in turns for r in [size * rng.uniform(0.4, 0.9)]]
        )
    elif kind == "ell":
        w, h = size * rng.uniform(0.8, 1.5), size * rng.uniform(0.8, 1.5)
        outline = box(0, 0, w, h).difference(
            box(w * rng.uniform(0.4, 0.8), h * rng.uniform(0.4, 0.8), w + 1, h + 1)
        )
    else:
        outline = box(0, 0, size * 1.2, size)
        for _ in range(rng.randint(1, 3)):
            x, y = rng.uniform(0, size * 1.2), rng.choice([0, size])
            outline = outline.difference(
                affinity.rotate(box(x - 1, y - 2, x + rng.uniform(0, 2), y + 2), rng.uniform(0, 90))
            )
    outline = affinity.rotate(outline, rng.uniform(0, 360) if rng.random() < 0.7 else 0)
    outline = outline.simplify(0.05)
    if outline.geom_type != "Polygon" or not outline.is_valid or outline.interiors or outline.area < 20:
        return random_space(rng)
    corners = [[round(x, 3), round(y, 3)] for x, y in list(outline.exterior.coords)[:-1]]
    if not 3 <= len(corners) <= 40 or not Polygon(corners).is_valid:
        return random_space(rng)
    if rng.random() < 0.5:
        corners.reverse()
    lo_x, lo_y, hi_x, hi_y = outline.bounds
    obstacles = []
    for _ in range(rng.choice([0, 0, 1, 2, 4])):
        x, y = rng.uniform(lo_x, hi_x), rng.uniform(lo_y, hi_y)
        if rng.random() < 0.6:
            obstacles.append({"circle": [round(x, 3), round(y, 3), round(rng.uniform(0, 0.6), 3)]})
        else:
            shape = affinity.rotate(box(x, y, x + rng.uniform(0.3, 4), y + rng.uniform(0.3, 2)), rng.uniform(0, 90))
            obstacles.append({"polygon": [[round(a, 3), round(b, 3)] for a, b in list(shape.exterior.coords)[:-1]]})
    ask = {
        "ask": "fit",
        "outline": corners,
        "obstacles": obstacles,
        "edition": rng.choice(list(EDITIONS)),
        "run_off_mm": rng.choice([1000, 1000, 0, 500, 1500, 2000]),
        "least_mm": rng.choice([7000, 7000, 5000]),
    }
    if rng.random() < 0.2:
        ask["home_corner"] = rng.randrange(len(corners))
    if rng.random() < 0.2:
        ask["sun"] = rng.randrange(360)
    return ask


def rectangles(infield, fair):
    """The three parts of the footprint in metres, home at the origin."""
    b, w, s = BOX / 1000, BASE / 1000, SAFE / 1000
    return [box(0, 0, fair, fair), box(-b, -b, 0, 0), box(infield - w, -w, infield + s, 0)]


def obstacle_shapes(ask):
    out = []
    for o in ask["obstacles"]:
        if "circle" in o:
            x, y, r = o["circle"]
            out.append((Point(x, y), r))
        else:
            out.append((Polygon(o["polygon"]), 0.0))
    return out


def nearest_corner_region(ask, reach):
    """Where home may lie when a corner of the outline is named for it."""
    if "home_corner" not in ask:
        return None
    corners = ask["outline"]
    v = np.array(corners[ask["home_corner"]])
    region = box(v[0] - reach, v[1] - reach, v[0] + reach, v[1] + reach)
    for w in map(np.array, corners):
        if np.allclose(v, w):
            continue
        # The half plane nearer v than w, as a large square on v's side.
        middle, along = (v + w) / 2, (v - w) / np.linalg.norm(v - w)
        side = np.array([-along[1], along[0]])
        big = reach * 4
        region = region.intersection(
            Polygon(
                [
                    middle + side * big,
                    middle + side * big + along * big,
                    middle - side * big + along * big,
                    middle - side * big,
                ]
            )
        )
    return region


def check_fit(ask, answer, rng, step):
    if "error" in answer:
        return [answer["error"]], "error"
    wrong = []
    edition = EDITIONS[ask["edition"]]
    outline = Polygon(ask["outline"])
    run_off = ask["run_off_mm"] / 1000
    if answer["fits"]:
        kind = "full" if answer["infield_mm"] == edition["infield"] else "reduced"
        wrong += check_court(ask, answer, edition, outline, run_off)
        infield = answer["infield_mm"]
        share = 1.01
    else:
        kind = "none"
        infield, share = answer["least_mm"], 1.01
        if (answer["largest_mm"] or 0) >= answer["least_mm"]:
            wrong.append("refused although large enough")
        if answer["short_mm"] != answer["least_mm"] - (answer["largest_mm"] or 0):
            wrong.append("short by a wrong length")
    if kind == "none" and answer["largest_mm"]:
        # What is said to be lacking is within the percent too, and the
        # centimetre that rounding down takes.
        most = (answer["largest_mm"] + 10) * 1.01
        if most < answer["least_mm"]:
            better = larger_court(ask, edition, outline, run_off, most / edition["infield"], rng, step)
            if better is not None:
                wrong.append(f"short by less: {most:.0f} mm fit turned by {better:.2f} degrees")
    if not kind.startswith("full"):
        scale = min(1.0, infield / edition["infield"] * share)
        better = larger_court(ask, edition, outline, run_off, scale, rng, step)
        if better is not None:
            wrong.append(f"a court of scale {scale:.4f} fits turned by {better:.2f} degrees")
    return wrong, kind


def check_court(ask, answer, edition, outline, run_off):
    wrong = []
    infield, fair = answer["infield_mm"], answer["fair_mm"]
    if infield > edition["infield"] or fair > edition["fair"]:
        wrong.append("larger than the edition")
    if infield < ask["least_mm"]:
        wrong.append("under the least infield")
    if infield < edition["infield"] and (infield % 10 or fair % 10):
        wrong.append("not whole centimetres")
    if abs(fair - infield * edition["fair"] / edition["infield"]) > 10:
        wrong.append("out of proportion")
    no_hit = max(edition["least"], edition["no_hit"] * infield / edition["infield"])
    if answer["no_hit_mm"] < edition["least"] or abs(answer["no_hit_mm"] - no_hit) > 10:
        wrong.append("no-hit line")
    if (answer["box_mm"], answer["base_mm"], answer["safe_mm"]) != (BOX, BASE, SAFE):
        wrong.append("box, base or safe area")
    if answer["run_off_mm"] != ask["run_off_mm"]:
        wrong.append("run-off")
    told = {r["measure"]: (r["edition_mm"], r["used_mm"], r["within"]) for r in answer["reductions"]}
    want = {}
    for name, of, used, within in (
        ("base to base", edition["infield"], infield, False),
        ("side of fair territory", edition["fair"], fair, False),
        ("no-hit line from home", edition["no_hit"], answer["no_hit_mm"], True),
    ):
        if used < of:
            want[name] = (of, used, within)
    if told != want:
        wrong.append(f"reductions {told} instead of {want}")
    parts = [
        affinity.translate(affinity.rotate(p, answer["turn"], origin=(0, 0), use_radians=True), *answer["home"])
        for p in rectangles(infield / 1000, fair / 1000)
    ]
    for mine, theirs in zip(parts, answer["parts"]):
        if mine.symmetric_difference(Polygon(theirs)).area > 1e-5:
            wrong.append("a part lies elsewhere than home and turn say")
    court = shapely.union_all(parts)
    if not outline.buffer(HAIR).contains(court):
        wrong.append("outside the space")
    if outline.exterior.distance(court) < run_off - HAIR:
        wrong.append(f"run-off to the edge {outline.exterior.distance(court):.5f}")
    for shape, radius in obstacle_shapes(ask):
        if shape.distance(court) - radius < run_off - HAIR or (
            shape.geom_type == "Polygon" and run_off == 0 and shape.buffer(-HAIR).intersects(court)
        ):
            wrong.append("too near an obstacle")
    if "home_corner" in ask:
        home = Point(answer["home"])
        near = [home.distance(Point(c)) for c in ask["outline"]]
        if near[ask["home_corner"]] > min(near) + HAIR:
            wrong.append("home is nearer another corner")
    return wrong


def free_ground(ask, outline, run_off):
    ground = outline.buffer(-run_off, quad_segs=24)
    for shape, radius in obstacle_shapes(ask):
        if run_off + radius > 0:
            ground = ground.difference(shape.buffer(run_off + radius, quad_segs=24))
        else:
            ground = ground.difference(shape)
    return ground


def larger_court(ask, edition, outline, run_off, scale, rng, step):
    """A turn (degrees) at which a court of this scale fits, if any does."""
    ground = free_ground(ask, outline, run_off)
    if ground.is_empty:
        return None
    fair, infield = edition["fair"] / 1000 * scale, edition["infield"] / 1000 * scale
    parts = rectangles(infield, fair)
    home = nearest_corner_region(ask, 1000.0)
    if ground.area < fair * fair:
        return None
    convex = all(
        abs(g.convex_hull.area - g.area) < 1e-9 for g in getattr(ground, "geoms", [ground])
    ) and ground.geom_type == "Polygon"
    offset = rng.uniform(0, step)
    for k in range(round(360 / step)):
        turn = k * step + offset
        # Turning the ground the other way keeps the parts upright.
        turned = affinity.rotate(ground, -turn, origin=(0, 0))
        places = None if home is None else affinity.rotate(home, -turn, origin=(0, 0))
        for part in parts:
            here = homes_of(turned, part, convex)
            places = here if places is None else places.intersection(here)
            if places.is_empty:
                break
        if places.area > 1e-6:
            return turn
    return None


def homes_of(ground, part, convex):
    """Where home may be so that the part lies on the ground: an erosion."""
    corners = list(part.exterior.coords)[:-1]
    places = None
    for x, y in corners:
        moved = affinity.translate(ground, -x, -y)
        places = moved if places is None else places.intersection(moved)
        if places.is_empty:
            return places
    if convex:
        return places
    # Away from every home whose part would meet the ground's boundary.
    offsets = np.array(corners)
    blocked = []
    for ring in rings(ground):
        points = np.array(ring.coords)
        starts = points[:-1, None, :] - offsets[None, :, :]
        ends = points[1:, None, :] - offsets[None, :, :]
        clouds = np.concatenate([starts, ends], axis=1)
        blocked.append(shapely.convex_hull(shapely.multipoints(clouds)))
    return places.difference(shapely.union_all(np.concatenate(blocked)))


def rings(ground):
    for g in getattr(ground, "geoms", [ground]):
        if g.geom_type == "Polygon":
            yield g.exterior
            yield from g.interiors
