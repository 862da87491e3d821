"""Builds the bare-metal images of firmware_sim/port/cortex_m."""

import fcntl
import shutil
import subprocess
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parent.parent
PREFIX = "arm-none-eabi-"


class Missing(Exception):
    """Why no image can be built here: the reason of a skip."""


class Broken(Exception):
    """An image that does not build, with what the tools said."""


def output(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def demand_compiler():
    compiler = shutil.which(PREFIX + "g++")
    if compiler is None:
        raise Missing(f"{PREFIX}g++ is not installed (gcc-arm-none-eabi)")
    version = output(compiler, "-dumpversion").strip()
    if not Path(f"/usr/include/newlib/c++/{version}").is_dir():
        raise Missing(f"no C++ headers for {PREFIX}g++ {version} (libstdc++-arm-none-eabi-dev)")


def build(folder, root=REPOSITORY, target="all"):
    """Builds into `folder`, one at a time. Raises Missing or Broken."""
    demand_compiler()
    folder.mkdir(parents=True, exist_ok=True)
    source = root / "firmware_sim/port/cortex_m"
    configure = ["cmake", "-S", source, "-B", folder, "-G", "Ninja"]
    configure += ["--toolchain", source / "toolchain.cmake"]
    with open(folder / "lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        for command in (configure, ["cmake", "--build", folder, "--target", target]):
            done = subprocess.run(command, capture_output=True, text=True)
            if done.returncode != 0:
                raise Broken(done.stdout + done.stderr)
