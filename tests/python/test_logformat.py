"""Play logs: the engine's verdicts against a verifier that was written from
engine/LOG_FORMAT.md alone (tests/logformat/verify.py), and COSE read by pycose."""
import json
import os
import pathlib
import subprocess
import sys

import pytest

TESTS = pathlib.Path(__file__).resolve().parents[1]
sys.path.insert(0, str(TESTS / "logformat"))

import verify  # noqa: E402


def cargo(*words):
    command = [os.environ.get("CARGO", "cargo"), "run", "-q", "-p", "logformat", *words]
    return subprocess.run(command, cwd=TESTS.parent, stdout=subprocess.PIPE, text=True)


@pytest.fixture(scope="session")
def logs(tmp_path_factory):
    folder = tmp_path_factory.mktemp("logs")
    assert cargo("--bin", "logs", "--", str(folder)).returncode == 0
    return folder


def engine_verdicts(files):
    ran = cargo("--bin", "verify", "--", "--json", *map(str, files))
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


def test_every_byte_changed_once_is_noticed_by_both(logs):
    good = (logs / "good-short.log").read_bytes()
    engine = json.loads((logs / "flips.json").read_text())
    assert len(engine) == len(good)
    other_names = []
    for at, (entries, name) in enumerate(engine):
        bad = bytearray(good)
        bad[at] ^= 1 << (at % 8)
        found = verify.verdict(bytes(bad))
        assert name != "good" and found["name"] != "good", at
        assert found["entries"] == entries, at
        if found["name"] != name:
            other_names.append((at, name, found["name"]))
    # Changed lengths and types make other CBOR; which rule breaks first then
    # is a matter of the reader.
    assert len(other_names) * 50 < len(good), other_names


def test_every_shorter_file_is_judged_the_same_by_both(logs):
    good = (logs / "good-short.log").read_bytes()
    for end, (entries, name) in enumerate(json.loads((logs / "cuts.json").read_text())):
        found = verify.verdict(good[:end])
        assert (found["name"], found["entries"]) == (name, entries), end


def test_the_charter_is_good_and_every_byte_counts(logs):
    good = (logs / "good.charter").read_bytes()
    assert verify.charter(good) == "good"
    for at in range(len(good)):
        bad = bytearray(good)
        bad[at] ^= 1 << (at % 8)
        assert verify.charter(bytes(bad)) != "good", at
    assert verify.charter(good + b"\0") == "trailing"
    assert verify.charter((logs / "good-short.log").read_bytes()[:479]) == "malformed-payload"


def test_logs_made_by_the_app_are_good_for_both():
    """The browser tests leave the logs of the real app there."""
    files = sorted((TESTS / "artefacts" / "logs").glob("*.log"))
    if not files:
        pytest.skip("no browser test has left a log yet")
    for path, engine in zip(files, engine_verdicts(files)):
        ours = verify.verdict(path.read_bytes())
        same(ours, engine)
        assert ours["name"] == "good", path


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
