#!/usr/bin/env python3
"""The optical link against programs that are not ours.

QR codes are read by zbarimg (Debian: zbar-tools) and by jsQR (npm); RaptorQ
symbols are compared byte by byte with lcrq (Debian: liblcrq-dev), another
implementation of RFC 6330. Then the loss curve and frames that must not make
the reader fall. `cargo xtask test python` installs what it needs and runs it.
"""

import os
import pathlib
import shutil
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
OUT = ROOT / "target" / "link-check"
# jsQR as tests/package.json pins it.
MODULES = ROOT / "target" / "tools" / "node" / "node_modules"
PROFILE = ["--profile", "dev"] if "--dev" in sys.argv else ["--release"]
passed = failed = 0


def check(name, good, why=""):
    global passed, failed
    if good:
        passed += 1
    else:
        failed += 1
        print(f"FAILED {name} {why}")


def run(*command, **more):
    done = subprocess.run(command, capture_output=True, text=True, **more)
    return done.returncode, done.stdout, done.stderr


def ours(binary, *args):
    code, out, err = run("cargo", "run", "-q", *PROFILE, "-p", "link", "--bin", binary, "--", *args, cwd=ROOT)
    check(binary, code == 0, err[-500:])
    return out


def need(tool, package):
    if shutil.which(tool) is None:
        print(f"{tool} is missing: install {package}")
        print("0 passed, 1 failed")
        sys.exit(1)


def compare(reader, pictures, texts):
    """A screen's code is read from its picture, a camera's from one of its frames, and none as another one."""
    read = {}
    for picture, text in zip(pictures, texts):
        read.setdefault(picture.stem.split("@")[0], []).append(text)
    for name, texts in read.items():
        want = (OUT / f"{name}.txt").read_text()
        check(f"{reader} {name}", want in texts and set(texts) <= {want, ""})


def read_by_zbarimg(pictures):
    texts = []
    for picture in pictures:
        _, out, _ = run("zbarimg", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", str(picture))
        texts.append(out.strip())
    compare("zbarimg", pictures, texts)


def read_by_jsqr(pictures):
    script = OUT / "read.js"
    script.write_text(
        """
const fs = require("fs"), jsQR = require("jsqr");
for (const path of process.argv.slice(2)) {
  const file = fs.readFileSync(path);
  const head = /^P5\\n(\\d+) (\\d+)\\n255\\n/.exec(file.toString("latin1", 0, 40));
  const [w, h] = [Number(head[1]), Number(head[2])];
  const rgba = new Uint8ClampedArray(w * h * 4).fill(255);
  for (let i = 0; i < w * h; i++) rgba.fill(file[head[0].length + i], 4 * i, 4 * i + 3);
  const found = jsQR(rgba, w, h);
  console.log(found ? found.data : "");
}
"""
    )
    code, out, err = run("node", str(script), *map(str, pictures), env={**os.environ, "NODE_PATH": str(MODULES)})
    lines = out.split("\n")
    check("jsQR ran", code == 0, err[-300:])
    check("jsQR said something of each", len(lines) > len(pictures))
    compare("jsQR", pictures, lines)


def symbols_by_lcrq():
    program = OUT / "reference"
    code, _, err = run("gcc", "-O2", "-o", str(program), str(HERE / "reference.c"), "-llcrq")
    check("lcrq built (install liblcrq-dev)", code == 0, err[-300:])
    if code:
        return
    for table in sorted(OUT.glob("object-*.txt")):
        want = table.read_text().splitlines()
        size = len(want[0].split()[1]) // 2
        code, out, err = run(str(program), str(table.with_suffix(".bin")), str(size), str(len(want)))
        check(f"lcrq {table.name} ran", code == 0, f"{code} {err}")
        got = out.splitlines()
        check(f"lcrq {table.name} count", len(got) == len(want))
        for a, b in zip(want, got):
            check(f"lcrq {table.name} symbol {a.split()[0]}", a == b)


need("zbarimg", "zbar-tools")
need("node", "nodejs")
shutil.rmtree(OUT / "codes", ignore_errors=True)
OUT.mkdir(parents=True, exist_ok=True)
for old in OUT.glob("*.*"):
    if old.is_file():
        old.unlink()
ours("codes", str(OUT))
screens = sorted(OUT.glob("screen-*.pgm"))
check("codes written", len(screens) == 24)
read_by_zbarimg(screens + sorted(OUT.glob("camera-*.pgm")))
read_by_jsqr(screens + sorted(OUT.glob("camera-*.pgm")))
symbols_by_lcrq()
curve = ours("curve")
print(curve)
check("curve to 60 %", " 60 %" in curve)
print(ours("frames", "400"))
print(f"{passed} passed, {failed} failed")
sys.exit(1 if failed else 0)
