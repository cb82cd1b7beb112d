"""How long the command line takes to start and to answer: best of a few runs, against bare Python."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

PROGRAM = Path(sys.executable).parent / "ringwise"
RUNS = 7
COMMANDS = {
    "bare Python": [sys.executable, "-c", "pass"],
    "ringwise --help": [str(PROGRAM), "--help"],
    "ringwise calc pot": [
        *(str(PROGRAM), "calc", "pot", "--shape", "oval"),
        *("--length", "50cm", "--width", "37cm", "--depth", "8cm", "--json"),
    ],
}


def best_s(command: list[str]) -> float:
    """The shortest of a few runs, in seconds; other work on the machine only makes a run longer."""
    times = []
    for _run in range(RUNS):
        begin = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        times.append(time.perf_counter() - begin)
    return min(times)


if __name__ == "__main__":
    for name, command in COMMANDS.items():
        print(f"{name:20} {best_s(command):6.3f} s")
