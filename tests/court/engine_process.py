"""The engine behind a pipe: one JSON question a line, one answer a line."""

import json
import subprocess


class Engine:
    def __init__(self, root, target):
        build = ["cargo", "build", "--quiet", "--release", "--package", "court-check"]
        subprocess.run(build, cwd=root, check=True)
        self.process = subprocess.Popen(
            [target / "release" / "court-check"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def ask(self, question):
        self.process.stdin.write(json.dumps(question) + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        if not line:
            raise RuntimeError(f"the engine stopped at {json.dumps(question)}")
        return json.loads(line)
