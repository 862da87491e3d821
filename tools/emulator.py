"""Runs scenarios against the bare-metal images in an emulator, and counts their instructions."""

import os
import shlex
import shutil
import subprocess
from pathlib import Path

from arm_images import PREFIX, REPOSITORY, Missing, build, output

EMULATOR = "qemu-system-arm"
BARE = ("-nodefaults", "-nic", "none", "-display", "none", "-monitor", "none")
# A bench that hangs is a failure, not a wait: the longest run takes a small part of this.
PATIENCE_S = 300

# The calls that are budgeted: a name and the demangled function.
BUDGETED = {
    "on_change": "rimebench::DoseController::on_change(",
    "advance": "rimebench::DoseController::advance(",
}
# A recipe is taken only at a standstill: such an advance has a budget of its own, "advance+".
APART = "rimebench::DoseController::take_commit("


def semihosting(image, *more):
    """The command behind `exec:` that runs an image on an emulated MPS2 board."""
    console = ("-serial", "none", "-semihosting-config", "enable=on,target=native")
    return " ".join([EMULATOR, "-M", "mps2-an385", *BARE, *console, *more, "-kernel", image])


def uart(image, *more):
    """The same on an emulated LM3S6965 board, whose UART0 is the inherited socket."""
    serial = ("-chardev", "socket,id=bench,fd=0", "-serial", "chardev:bench")
    return " ".join([EMULATOR, "-M", "lm3s6965evb", *BARE, *serial, *more, "-kernel", image])


class Images:
    """What a suite needs, built once beside the program under test. Raises Missing."""

    def __init__(self):
        if shutil.which(EMULATOR) is None:
            raise Missing(f"{EMULATOR} is not installed")
        self.rimebench = Path(os.environ.get("RIMEBENCH_COMMAND", REPOSITORY / "build/rimebench"))
        if not self.rimebench.is_file():
            raise Missing(f"{self.rimebench} is not built")
        folder = self.rimebench.parent / "cortex_m"
        build(folder)
        # In the words of sh.
        self.semihosting, self.uart, self.panics, self.paced = (
            shlex.quote(f"{folder}/node_{name}.elf")
            for name in ("semihosting", "uart", "panic", "paced")
        )
        # Open the valve and hang; the second masks its interrupts too.
        self.hangs = [shlex.quote(f"{folder}/node_hangs_{defect}.elf") for defect in (1, 2)]
        self.plugin = folder / "libcount_instructions.so"
        compiler = ("cc", "-std=gnu11", "-O2", "-Wall", "-Wextra", "-Werror", "-shared", "-fPIC")
        output(*compiler, "-o", self.plugin, REPOSITORY / "tools/count_instructions.c")
        self.functions = output(PREFIX + "nm", "-C", folder / "node_semihosting.elf").splitlines()

    def run(self, scenario, command=None, *more):
        """The verdict as JSON text, and what was said on standard error."""
        words = [self.rimebench, "run", scenario, "--json", "-", *more]
        if command is not None:
            words += ["--node", "exec:" + command]
        done = subprocess.run(words, capture_output=True, text=True, timeout=PATIENCE_S)
        if not done.stdout:
            raise AssertionError(f"{scenario} did not run: {done.stderr}")
        return done.stdout, done.stderr

    def address(self, function):
        return next("0x" + line.split()[0] for line in self.functions if function in line)

    def run_counted(self, scenario, counts):
        """The same over semihosting, and {call: (calls, total, worst)}; `counts` is a new file."""
        plugin = f"{self.plugin},out={counts},apart={self.address(APART)}"
        for name, function in BUDGETED.items():
            plugin += f",{name}={self.address(function)}"
        command = semihosting(self.semihosting, "-plugin", shlex.quote(plugin))
        text, said = self.run(scenario, command)
        lines = [line.split() for line in counts.read_text().splitlines()]
        if ["unsound"] in lines:
            raise AssertionError("unsound counts: tools/count_instructions.c says when that is")
        found = {name: (int(n), int(total), int(worst)) for name, n, total, _, worst, _ in lines}
        return text, said, found
