"""How far the beds of some files sink: moulder asked in lines, from any Python, with nothing to install.

    python3 examples/clients/sink.py target/release/moulder examples/beds/*.toml
"""

import json
import subprocess
import sys


class Moulder:
    """`moulder serve-lines`: a question is a line, its answer is a line."""

    def __init__(self, program):
        pipe = subprocess.PIPE
        self.process = subprocess.Popen([program, "serve-lines"], stdin=pipe, stdout=pipe, text=True)

    def ask(self, task, **fields):
        self.process.stdin.write(json.dumps({"ask": task, **fields}) + "\n")
        self.process.stdin.flush()
        line = json.loads(self.process.stdout.readline())
        if "refused" in line:
            raise ValueError(line["refused"]["message"])
        return line["answer"]

    def close(self):
        self.process.stdin.close()
        return self.process.wait()


moulder = Moulder(sys.argv[1])
for path in sys.argv[2:]:
    with open(path, encoding="utf-8") as file:
        forecast = moulder.ask("forecast", bed=file.read(), months=12, draws=32)
    sunk = forecast["intervals"][12]["settlement_m"]
    low, mean, high = (100 * sunk[part] for part in ("lower", "mean", "upper"))
    print(f"{forecast['name']}: {mean:.0f} cm in a year, 8 in 10 such beds {low:.0f} to {high:.0f}")
try:
    moulder.ask("forecast", bed="format = 1", moths=3)
except ValueError as refused:
    print(f"refused, with all that is wrong:\n{refused}")
sys.exit(moulder.close())
