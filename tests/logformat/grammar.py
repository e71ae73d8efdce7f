"""The part of CDDL (RFC 8610) that engine/LOG_FORMAT.md uses, as a matcher.

A value either does not fit a rule, or fits with remarks: `SIZE` where a text
or list is longer than allowed.
"""
import re
from collections.abc import Mapping, Sequence

SIZE = "size"
NO_FIT = None

TOKEN = re.compile(
    r"\s*(\"[^\"]*\"|#6\.\d+|\d+\*\d*|\*|-?\d+|\.\.|=>|\.size|\.cbor|[A-Za-z][A-Za-z0-9-]*|[=/\[\]{}(),?:])"
)
PLAIN = {
    "bytes": lambda v: isinstance(v, bytes),
    "text": lambda v: type(v) is str,  # a subclass marks what is no UTF-8
    "bool": lambda v: isinstance(v, bool),
    "true": lambda v: v is True,
    "null": lambda v: v is None,
    "uint": lambda v: is_int(v) and v >= 0,
}


def is_int(value):
    return isinstance(value, int) and not isinstance(value, bool)


class Grammar:
    """The rules of a CDDL text."""

    def __init__(self, text):
        text = re.sub(r";[^\n]*", "", text).strip()
        self.tokens, at = [], 0
        while at < len(text):
            found = TOKEN.match(text, at)
            if not found:
                raise SyntaxError(text[at : at + 40])
            self.tokens.append(found.group(1))
            at = found.end()
        self.at, self.rules = 0, {}
        while self.at < len(self.tokens):
            name = self.take()
            self.take("=")
            self.rules[name] = self.choice()

    # ---- reading

    def peek(self, ahead=0):
        at = self.at + ahead
        return self.tokens[at] if at < len(self.tokens) else ""

    def take(self, want=None):
        token = self.peek()
        if want and token != want:
            raise SyntaxError(f"{want} wanted, {token} found")
        self.at += 1
        return token

    def choice(self):
        options = [self.controlled()]
        while self.peek() == "/":
            self.take()
            options.append(self.controlled())
        return ("choice", options) if len(options) > 1 else options[0]

    def controlled(self):
        kind = self.primary()
        if self.peek() == ".size":
            self.take()
            return ("size", kind, self.primary())
        if self.peek() == ".cbor":
            self.take()
            self.primary()
            return kind
        return kind

    def primary(self):
        token = self.take()
        if token == "(":
            inner = self.choice()
            self.take(")")
            return inner
        if token.startswith("#6."):
            self.take("(")
            inner = self.choice()
            self.take(")")
            return ("tag", inner)
        if token == "[":
            return ("list", self.group("]"))
        if token == "{":
            return ("map", self.group("}"))
        if re.fullmatch(r"-?\d+", token):
            low = high = int(token)
            if self.peek() == "..":
                self.take()
                high = int(self.take())
            return ("range", low, high)
        if token.startswith('"'):
            return ("literal", token[1:-1])
        return ("name", token)

    def group(self, end):
        entries = []
        while self.peek() != end:
            least, most = 1, 1
            if self.peek() == "?":
                self.take()
                least = 0
            elif "*" in self.peek():
                low, high = self.take().split("*")
                least, most = int(low or 0), int(high or 2**64)
            key = None
            if self.peek(1) == ":":
                self.take()
                self.take()
                kind = self.choice()
            else:
                kind = self.choice()
                if self.peek() == "=>":
                    self.take()
                    key, kind = kind, self.choice()
            entries.append((least, most, key, kind))
            if self.peek() == ",":
                self.take()
        self.take(end)
        return entries

    # ---- matching

    def match(self, name, value):
        """NO_FIT, or the set of remarks on a value that fits a rule."""
        return self.fit(self.rules[name], value)

    def fit(self, kind, value):
        what = kind[0]
        if what == "name":
            plain = PLAIN.get(kind[1])
            if plain:
                return set() if plain(value) else NO_FIT
            return self.fit(self.rules[kind[1]], value)
        if what == "literal":
            return set() if isinstance(value, str) and value == kind[1] else NO_FIT
        if what == "range":
            return set() if is_int(value) and kind[1] <= value <= kind[2] else NO_FIT
        if what == "choice":
            fitting = [f for f in (self.fit(k, value) for k in kind[1]) if f is not NO_FIT]
            return min(fitting, key=len) if fitting else NO_FIT
        if what == "size":
            return self.fit_size(kind, value)
        if what == "list":
            return self.fit_list(kind[1], value)
        if what == "map":
            return self.fit_map(kind[1], value)
        return NO_FIT

    def fit_size(self, kind, value):
        if self.fit(kind[1], value) is NO_FIT:
            return NO_FIT
        size = len(value.encode()) if isinstance(value, str) else len(value)
        _, low, high = kind[2]
        if low <= size <= high:
            return set()
        # A length that is fixed is part of the form; a limit is not.
        return NO_FIT if low == high else {SIZE}

    def fit_list(self, entries, value):
        if not isinstance(value, Sequence) or isinstance(value, (str, bytes)):
            return NO_FIT
        remarks, at = set(), 0
        for least, most, _, kind in entries:
            left = len(value) - at
            # One that may be missing stands last; of a list the rest is left.
            count = least or min(left, 1) if most == 1 else left
            for _ in range(count):
                if at >= len(value):
                    return NO_FIT
                found = self.fit(kind, value[at])
                if found is NO_FIT:
                    return NO_FIT
                remarks |= found
                at += 1
            if count > most:
                remarks.add(SIZE)
        return remarks if at == len(value) else NO_FIT

    def fit_map(self, entries, value):
        if not isinstance(value, Mapping):
            return NO_FIT
        remarks, known = set(), set()
        for least, _, key, kind in entries:
            number = key[1]
            known.add(number)
            if number not in value:
                if least:
                    return NO_FIT
                continue
            found = self.fit(kind, value[number])
            if found is NO_FIT:
                return NO_FIT
            remarks |= found
        return remarks if all(is_int(key) and key in known for key in value) else NO_FIT
