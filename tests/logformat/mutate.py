"""Files of logs, charters and orders altered at random, the same for the same
number: bytes of them, and what the sample officials sign anew.

    python mutate.py FOLDER COUNT SEED | cargo run -p logformat --bin logs -- --judge

FOLDER being one that `logs` wrote.
"""
import hashlib
import itertools
import pathlib
import random
import sys

import cbor2
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

import verify

SECRETS = [Ed25519PrivateKey.from_private_bytes(bytes([n] * 32)) for n in range(1, 256)]
PUBLIC = [key.public_key().public_bytes_raw() for key in SECRETS]
KEYS = {hashlib.sha256(public).digest()[:16]: key for public, key in zip(PUBLIC, SECRETS)}
NUMBERS = [0, 1, 2, 23, 24, 99, 100, 255, 256, 65535, 65536, 2**32 - 1, 2**32, 2**63, 2**64 - 1]
OTHERS = [None, True, False, "", "x", b"", b"x" * 16, b"x" * 32, [], {}, -1, -8, 1.5,
          cbor2.CBORTag(2, b"\1"), cbor2.undefined, "\u202e", "\u200d", "a\tb", "\u0301"]


def items(data):
    found, at = [], 0
    while at < len(data):
        end = verify.item_end(data, at)
        found.append(data[at:end])
        at = end
    return found


def parts(item):
    """Key, payload and `external_aad` of a good item."""
    protected, _, payload, _ = verify.whole(item)[0].value
    read = verify.whole(payload)[0]
    kind = {2: "charter", 8: "receipt", 9: "order"}.get(len(read))
    if kind is None:
        kind = "statement" if read[5][0] in (6, 7) else "log"
    return protected[-16:], payload, f"chalkbook:{kind}".encode()


def signed(kid, payload, external):
    protected = b"\xa2\x01\x27\x04\x50" + kid
    text = cbor2.dumps(["Signature1", protected, external, payload])
    signature = KEYS[kid].sign(text)
    return b"\xd2" + cbor2.dumps([protected, {}, payload, signature])


def reheaded(item, rng):
    """With another header: nobody's signature fits it, and none is asked for."""
    protected, unprotected, payload, signature = verify.whole(item)[0].value
    if rng.random() < 0.7:
        protected = altered(protected, [{3: 0}, {1: -7}], rng)
    else:
        unprotected = rng.choice([{}, {99: 1}, {4: b"x"}, {"x": []}, [], None, b""])
    size = rng.choice([64, 64, 64, 63, 65, 0])
    return b"\xd2" + cbor2.dumps([protected, unprotected, payload, signature[:size]])


def nested(levels):
    found = 0
    for _ in range(levels):
        found = [found]
    return found


def nodes(value, path=()):
    """Where every value in a value stands."""
    yield path
    if isinstance(value, list):
        for at, inner in enumerate(value):
            yield from nodes(inner, (*path, at))
    elif isinstance(value, dict):
        for at, inner in value.items():
            yield from nodes(inner, (*path, at))


def inside(value, path):
    for at in path:
        value = value[at]
    return value


def again(value):
    """A copy that changes on its own."""
    if isinstance(value, list):
        return [again(v) for v in value]
    if isinstance(value, dict):
        return {k: again(v) for k, v in value.items()}
    return value


def encoded(value, odd, rng):
    """Deterministic, but for the value that is `odd`."""
    if value is odd and value is not None:
        return oddly(value, rng)
    if isinstance(value, list):
        return head(4, len(value)) + b"".join(encoded(v, odd, rng) for v in value)
    if isinstance(value, dict):
        pairs = sorted((cbor2.dumps(k), encoded(v, odd, rng)) for k, v in value.items())
        return head(5, len(value)) + b"".join(k + v for k, v in pairs)
    return cbor2.dumps(value)


def head(major, value):
    found = bytearray(cbor2.dumps(value))
    found[0] |= major << 5
    return bytes(found)


def oddly(value, rng):
    """One value in another encoding than the deterministic one."""
    plain = cbor2.dumps(value, canonical=True)
    if isinstance(value, dict) and len(value) > 1 and rng.random() < 0.6:
        pairs = [cbor2.dumps(k) + cbor2.dumps(v, canonical=True) for k, v in value.items()]
        if rng.random() < 0.5:
            rng.shuffle(pairs)
        else:
            pairs.append(rng.choice(pairs))
        return head(5, len(pairs)) + b"".join(pairs)
    if isinstance(value, (list, dict)) and rng.random() < 0.5:
        return bytes([(plain[0] & 0xE0) | 31]) + plain[1 if len(value) < 24 else 2 :] + b"\xff"
    if isinstance(value, (str, bytes)) and rng.random() < 0.5:
        return bytes([(plain[0] & 0xE0) | 31]) + plain + b"\xff"
    walk = verify.Walk(plain)
    first = walk.take(1)[0]
    given = walk.argument(first >> 5, first & 31)
    size = rng.choice([0, 1, 2, 3])
    if isinstance(value, bool) or given is None or given >= 1 << (8 << size):
        return plain
    return bytes([(first & 0xE0) | 24 + size]) + given.to_bytes(1 << size, "big") + plain[walk.at :]


def altered(payload, pool, rng):
    """A payload with something in it changed."""
    if rng.random() < 0.25:
        return bytes_altered(payload, rng)
    value = again(verify.whole(payload)[0])
    for _ in range(rng.choice([1, 1, 1, 2])):
        paths = [path for path in nodes(value) if path]
        if not paths:
            break
        path = rng.choice(paths)
        there, at = inside(value, path[:-1]), path[-1]
        how, now = rng.randrange(9), there[at]
        if how == 0:
            there[at] = rng.choice(NUMBERS)
        elif how == 1:
            there[at] = again(rng.choice([*OTHERS, nested(rng.randrange(20, 34))]))
        elif how == 2:
            other = rng.choice(pool)
            there[at] = again(inside(other, rng.choice(list(nodes(other)))))
        elif how == 3 and isinstance(there, list):
            there.insert(at, again(now))
        elif how == 3:
            there[rng.choice([at + 1, 30, "x", -1])] = again(now)
        elif how == 4:
            del there[at]
        elif how == 5 and isinstance(now, list) and now:
            there[at] = now * rng.choice([2, 9, 17, 65, 257])
        elif how == 5 and isinstance(now, (str, bytes)):
            there[at] = (now or now + type(now)(b"x" if type(now) is bytes else "x")) * 130
        elif how == 6 and isinstance(now, str):
            there[at] = rng.choice(["\u00e9", "x"]) * rng.choice([15, 16, 17, 60, 61, 120, 121, 200, 201, 500, 501])
        elif how == 6 and isinstance(now, bytes):
            there[at] = rng.randbytes(rng.choice([0, 15, 16, 17, 31, 32, 33, 63, 64, 65, len(now)]))
        elif how == 7 and isinstance(now, str):
            there[at] = now + rng.choice(["\0", "\x85", "\u2066", "\ufeff", "\U000e0001", "\u200c"])
        elif how == 7 and isinstance(now, int):
            there[at] = now + rng.choice([-1, 1, 2**40])
        else:
            return encoded(value, now, rng)
    return encoded(value, object(), rng)


def bytes_altered(data, rng):
    bad = bytearray(data)
    for _ in range(rng.choice([1, 1, 2, 3])):
        at = rng.randrange(len(bad))
        how = rng.randrange(6)
        if how == 0:
            bad[at] ^= 1 << rng.randrange(8)
        elif how == 1:
            bad[at] = rng.choice([0, 0x1F, 0x40, 0x5F, 0x60, 0x7F, 0x80, 0x9F, 0xA0, 0xBF, 0xC0, 0xD2, 0xF6, 0xFB, 0xFF])
        elif how == 2:
            bad.insert(at, rng.randrange(256))
        elif how == 3 and len(bad) > 1:
            del bad[at]
        elif how == 4:
            bad[at] = rng.randrange(256)
        else:
            end = at + rng.randrange(12)
            bad[at:at] = bad[at:end]
    return bytes(bad)


class Mutations:
    """Everything is made from the sample files in a folder."""

    def __init__(self, folder, seed):
        self.rng = random.Random(seed)
        read = lambda name: (folder / name).read_bytes()
        names = ["short", "every-body", "two-games", "with-receipts", "authors-in-turns"]
        self.logs = [items(read(f"good-{name}.log")) for name in names]
        self.charters, self.orders = [read("good.charter")], [read("good.order")]
        every = [item for log in self.logs for item in log] + self.charters + self.orders
        self.pool = [verify.whole(parts(item)[1])[0] for item in every]

    def resigned(self, item):
        rng = self.rng
        kid, payload, external = parts(item)
        payload = altered(payload, self.pool, rng)
        if rng.random() < 0.1:
            kid = rng.choice(list(KEYS)[:9])
        if rng.random() < 0.05:
            external = rng.choice([b"chalkbook:log", b"chalkbook:statement", b"chalkbook:charter"])
        return signed(kid, payload, external)

    def __iter__(self):
        """A kind and bytes, without end."""
        rng = self.rng
        while True:
            how = rng.randrange(11)
            log = rng.choice(self.logs)
            at = rng.randrange(len(log))
            if how == 0:
                kind, of = rng.choice([("charter", self.charters), ("order", self.orders)])
                made = self.resigned(of[0]) if rng.random() < 0.8 else bytes_altered(of[0], rng)
                yield kind, made
            elif how in (1, 2):
                yield "log", bytes_altered(b"".join(log[max(0, at - 2) : at + 2]), rng)
            elif how in (3, 4, 5):
                yield "log", self.resigned(log[at])
            elif how == 8:
                yield "log", reheaded(log[at], rng)
            elif how in (6, 7):
                if rng.random() < 0.9:
                    log = log[:12]
                at = rng.randrange(len(log))
                yield "log", b"".join([*log[:at], self.resigned(log[at]), *log[at + 1 :]])
            else:
                yield "log", b"".join(self.put_together())

    def put_together(self):
        """Items of several logs in an order that is not theirs."""
        rng = self.rng
        found = []
        for log in rng.sample(self.logs, rng.choice([1, 2, 2, 3])):
            start = rng.choice([0, 0, 0, 1])
            found += log[start : start + rng.choice([2, 4, 8, 45])]
        for _ in range(rng.choice([0, 1, 2, 4])):
            a, b = rng.randrange(len(found)), rng.randrange(len(found))
            how = rng.randrange(4)
            if how == 0:
                found[a], found[b] = found[b], found[a]
            elif how == 1 and len(found) > 1:
                del found[a]
            elif how == 2:
                found.insert(b, found[a])
            else:
                found.insert(b, self.moved(found[a]))
        return found

    def moved(self, item):
        """The same words with another number, link, game, clock or key."""
        rng = self.rng
        kid, payload, external = parts(item)
        value = verify.whole(payload)[0]
        if len(value) == 6:
            other = rng.choice(self.pool)
            how = rng.randrange(6)
            if how == 0:
                value[2] = max(0, value[2] + rng.choice([-2, -1, 1, 2]))
            elif how == 1:
                value[3] = rng.choice([None, bytes(32), hashlib.sha256(item).digest()])
            elif how == 2 and len(other) == 6:
                value[1] = other[1]
            elif how == 3:
                value[4] += 1
            elif how == 4:
                kid = rng.choice(list(KEYS)[:9])
            elif len(other) == 6:
                value[5] = other[5]
                external = b"chalkbook:statement" if other[5][0] in (6, 7) else b"chalkbook:log"
        return signed(kid, cbor2.dumps(value, canonical=True), external)


if __name__ == "__main__":
    made = Mutations(pathlib.Path(sys.argv[1]), int(sys.argv[3]))
    for kind, data in itertools.islice(made, int(sys.argv[2])):
        print(kind, data.hex())
