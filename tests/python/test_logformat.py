"""Play logs: the engine's verdicts against a verifier that was written from
engine/LOG_FORMAT.md alone (tests/logformat/verify.py), and COSE read by pycose."""
import hashlib
import itertools
import json
import os
import pathlib
import re
import subprocess
import sys

import pytest

TESTS = pathlib.Path(__file__).resolve().parents[1]
sys.path.insert(0, str(TESTS / "logformat"))

import mutate  # noqa: E402
import verify  # noqa: E402
from mutate import items  # noqa: E402


def cargo(*words, **given):
    command = [os.environ.get("CARGO", "cargo"), "run", "-q", "-p", "logformat", *words]
    return subprocess.run(command, cwd=TESTS.parent, stdout=subprocess.PIPE, text=True, **given)


@pytest.fixture(scope="session")
def logs(tmp_path_factory):
    folder = tmp_path_factory.mktemp("logs")
    assert cargo("--bin", "logs", "--", str(folder)).returncode == 0
    return folder


def engine_verdicts(files):
    ran = cargo("--bin", "verify", "--", "--json", "--apart", *map(str, files))
    found = [json.loads(line) for line in ran.stdout.splitlines()]
    assert len(found) == len(files)
    return found


def same(ours, engine):
    fault = engine["fault"]
    name = fault["name"] if fault else "good"
    assert (ours["name"], ours["entries"]) == (name, engine["entries"])
    if fault:
        assert ours["offset"] == fault["offset"]
    assert len(ours["logs"]) == len(engine["logs"])
    for a, b in zip(ours["logs"], engine["logs"]):
        assert a == {key: b[key] for key in a}


def test_both_verifiers_say_the_same_of_every_named_file(logs):
    files = sorted(logs.glob("*.log"))
    assert len(files) > 50
    for path, engine in zip(files, engine_verdicts(files)):
        same(verify.verdict(path.read_bytes()), engine)


def test_both_say_what_the_table_says(logs):
    for row in (logs / "verdicts.txt").read_text().splitlines()[1:]:
        name, entries, want = row.split()
        found = verify.verdict((logs / f"{name}.log").read_bytes())
        assert (found["name"], found["entries"]) == (want, int(entries)), name


def test_the_opening_pins_the_values_of_its_edition(logs):
    entry = verify.Entry((logs / "good-short.log").read_bytes()[: verify.item_end(
        (logs / "good-short.log").read_bytes())])
    setup, _, made = entry.content("payload")[5][1][0]
    editions = json.loads((logs / "editions.json").read_text())
    base, changes = setup[2]
    values = dict(editions[base]) | dict(changes)
    first = [[name, values[name]] for name, _ in editions[base]][: made[1]]
    assert hashlib.sha256(verify.deterministic(first)).digest() == made[2]


def test_the_worked_example_of_the_page_is_right(logs):
    """Worked out again with other libraries, from the page's own words."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    block = verify.PAGE.read_text("utf-8").split("## A worked example")[1]
    block = block.split("```text\n")[1].split("```")[0]
    value = dict(line.split(": ", 1) for line in block.splitlines())
    given = {name: bytes.fromhex(v) for name, v in value.items() if " " not in v}
    secret = Ed25519PrivateKey.from_private_bytes(given["secret key"])
    assert secret.public_key().public_bytes_raw() == given["public key"]
    assert verify.fingerprint(given["public key"]) == given["fingerprint"]
    words = (TESTS.parent / "engine" / "src" / "log" / "wordlist.rs").read_text()
    words = re.findall(r'"([a-z]+)"', words)
    assert len(words) == 256
    assert value["six words"].split() == [words[b] for b in given["fingerprint"][:6]]
    entry = verify.Entry(given["entry"])
    assert entry.signature == secret.sign(given["to be signed"])
    signed = ["Signature1", entry.protected, b"chalkbook:log", entry.payload]
    assert verify.cbor2.dumps(signed) == given["to be signed"]
    assert hashlib.sha256(given["entry"]).digest() == given["hash"]
    setup = verify.deterministic(["chalkbook:game", entry.body[0]])
    assert hashlib.sha256(setup).digest() == given["game id"] == entry.game
    assert (logs / "good-whole-game.log").read_bytes().startswith(given["entry"])


def judged_alike(cases):
    """Both verdicts on bytes of a kind are one: items, where it stops, name."""
    lines = "".join(f"{kind} {data.hex()}\n" for kind, data in cases)
    ran = cargo("--bin", "logs", "--", "--judge", input=lines)
    engine = [line.split() for line in ran.stdout.splitlines()]
    assert len(engine) == len(cases)
    names = {}
    for (kind, data), (entries, offset, name) in zip(cases, engine):
        if kind == "log":
            found = verify.verdict(data)
            ours = found["entries"], found["offset"], found["name"]
        else:
            said = getattr(verify, kind)(data)
            ours = (1, len(data), said) if said == "good" else (0, 0, said)
        assert ours == (int(entries), int(offset), name), (kind, data.hex())
        names[name] = names.get(name, 0) + 1
    return names


def flipped(data):
    for at in range(len(data)):
        bad = bytearray(data)
        bad[at] ^= 1 << (at % 8)
        yield bytes(bad)


def test_both_name_every_alteration_the_same(logs):
    """Of bytes, of headers, of what officials sign anew, and of what goes
    where: `python mutate.py FOLDER COUNT SEED` in tests/logformat does more."""
    mutations = mutate.Mutations(logs, seed=16)
    names = judged_alike(list(itertools.islice(mutations, 6000)))
    assert len(names) > 20, names


@pytest.mark.parametrize("name", ["good-short.log", "good.charter", "good.order"])
def test_every_byte_changed_once_is_noticed_by_both(logs, name):
    good = (logs / name).read_bytes()
    kind = name.rsplit(".", 1)[1]
    names = judged_alike([(kind, bad) for bad in flipped(good)])
    assert "good" not in names


def test_every_shorter_file_is_judged_the_same_by_both(logs):
    good = (logs / "good-short.log").read_bytes()
    judged_alike([("log", good[:end]) for end in range(len(good))])


@pytest.mark.parametrize("kind", ["charter", "order"])
def test_a_charter_and_an_order_are_single_items(logs, kind):
    good = (logs / f"good.{kind}").read_bytes()
    judge = getattr(verify, kind)
    assert judge(good) == "good"
    assert judge(good + b"\0") == "trailing"
    log = (logs / "good-short.log").read_bytes()
    assert judge(log[: verify.item_end(log)]) == "malformed-payload"
    # The command line says what it is, and never that it is a log.
    (engine,) = engine_verdicts([logs / f"good.{kind}"])
    assert (engine["kind"], engine["fault"], engine["logs"]) == (kind, None, [])


# ---- logs that the real app made and saved, in a browser (tests/browser/tests/charters)

APP_LOGS = TESTS / "artefacts" / "logs"


def app_log(name):
    path = APP_LOGS / f"{name}.log"
    if not path.exists():
        if os.environ.get("CHALKBOOK_APP_LOGS"):
            pytest.fail(f"the browser tests left no {path.name}")
        pytest.skip("no browser test has left a log yet")
    return path.read_bytes()


def judged(folder, files):
    """Both verdicts on each of these files, by name."""
    for name, data in files.items():
        (folder / name).write_bytes(data)
    engine = engine_verdicts([folder / name for name in files])
    return {
        name: (verify.verdict(data), found)
        for (name, data), found in zip(files.items(), engine)
    }


@pytest.mark.parametrize("name", ["short", "second-author", "other-branch", "charter-game"])
def test_an_app_log_is_good_for_both(name, tmp_path):
    ((ours, engine),) = judged(tmp_path, {name: app_log(name)}).values()
    same(ours, engine)
    assert ours["name"] == "good"
    assert ours["entries"] == len(items(app_log(name)))


def test_every_byte_of_an_app_log_changed_once_is_noticed_by_both():
    names = judged_alike([("log", bad) for bad in flipped(app_log("short"))])
    assert "good" not in names


def test_every_shorter_app_log_is_judged_the_same_by_both():
    good = app_log("short")
    names = judged_alike([("log", good[:end]) for end in range(len(good))])
    assert names["good"] == len(items(good)) - 1


def test_app_logs_put_together_wrongly_are_judged_the_same_by_both(tmp_path):
    short, branch = items(app_log("short")), items(app_log("other-branch"))
    theirs, other = items(app_log("second-author")), items(app_log("charter-game"))
    assert short[0] == branch[0] and short[1] != branch[1]
    long = app_log("charter-game")
    files = {
        # entry 2 before entry 1
        "reordered": b"".join([other[0], other[2], other[1], *other[3:]]),
        # an entry left out
        "gap": b"".join([other[0], *other[2:]]),
        # entries of another game, without its opening
        "no-opening": b"".join([*short, other[1]]),
        # an entry of another official of this game, without their opening
        "no-opening-of-theirs": b"".join([short[0], theirs[1]]),
        # both branches of one log
        "fork": b"".join([*short, branch[1]]),
    }
    good = {
        # the whole log after another one, and said twice
        "good-after": b"".join([*short, *theirs, long]),
        "good-twice": long + long,
    }
    verdicts = judged(tmp_path, files | good)
    for name, (ours, engine) in verdicts.items():
        same(ours, engine)
        said = "no-opening" if name.startswith("no-opening") else name
        assert ours["name"] == ("good" if name in good else said)


def test_a_cose_library_reads_and_verifies_the_entries(logs):
    """pycose (an implementation of RFC 9052) in place of our own envelope."""
    from pycose.headers import KID, Algorithm
    from pycose.keys import OKPKey
    from pycose.keys.curves import Ed25519
    from pycose.messages import Sign1Message

    data, at, read = (logs / "good-every-body.log").read_bytes(), 0, 0
    keys = {}
    while at < len(data):
        end = verify.item_end(data, at)
        entry = verify.Entry(data[at:end])
        if entry.kind == 0:
            keys[entry.kid] = entry.body[1][0]
        if entry.kind == verify.KEY_CHANGE:
            keys[verify.fingerprint(entry.body[0])] = entry.body[0]
        message = Sign1Message.decode(data[at:end])
        assert message.phdr[KID] == entry.kid
        assert message.phdr[Algorithm].identifier == -8
        message.external_aad = entry.external
        message.key = OKPKey(crv=Ed25519, x=keys[entry.kid])
        assert message.verify_signature()
        message.external_aad = b"chalkbook:other"
        assert not message.verify_signature()
        at, read = end, read + 1
    assert read > 30
