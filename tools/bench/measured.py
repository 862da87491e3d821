"""What the benchmarks share: one run of rimebench, measured, and where it stands."""

import ctypes
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
_PR_SET_CHILD_SUBREAPER = 36


def build_and(argv, default):
    """The command in the build folder that argv names first, and the number that may follow."""
    if len(argv) < 2:
        sys.exit(f"usage: {argv[0]} BUILD [NUMBER]   BUILD: a folder built as Release")
    command = Path(argv[1]).resolve() / "rimebench"
    if not command.is_file():
        sys.exit(f"{command} is not there: build the target rimebench first")
    return command, int(argv[2]) if len(argv) > 2 else default


def on_one_core():
    """This process and all that it starts, on the first core it may use."""
    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})


def scenario(folder, name, keys, base="rotary_steady"):
    """A scenario of the demo's with other keys over its own; returns the file."""
    file = Path(folder) / f"{name}.yaml"
    file.write_text(f"from: {ROOT}/config/scenarios/{base}.yaml\n{keys}")
    return file


class Run:
    """One run to its end: JSON verdict, wall and processor seconds, peak resident kB."""

    def __init__(self, command, *arguments):
        # Linux counts what a process was before exec into its peak. So a small shell starts the
        # command in the background and leaves it to us: its peak is its own.
        ctypes.CDLL(None).prctl(_PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0)
        with tempfile.NamedTemporaryFile() as out:
            started = time.monotonic()
            words = [command, "run", *arguments, "--json", "-"]
            shell = ["/bin/sh", "-c", '"$@" >"$0" & echo $!', out.name, *map(str, words)]
            child = subprocess.run(shell, stdout=subprocess.PIPE, check=True)
            _, status, used = os.wait4(int(child.stdout), 0)
            self.wall_s = time.monotonic() - started
            text = out.read()
        if os.waitstatus_to_exitcode(status) not in (0, 1):
            sys.exit(f"the run ended with {os.waitstatus_to_exitcode(status)}: {text.decode()}")
        self.cpu_s = used.ru_utime + used.ru_stime
        self.peak_kb = used.ru_maxrss
        self.verdict = json.loads(text)
