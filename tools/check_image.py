#!/usr/bin/env python3
"""Proves of the bare-metal images what can be read from them: sizes, symbols, worst stack.

check_image.py [ROOT [BUILD]] builds them and looks. Exit: 0 all well, 1 a promise is broken, 77 the
cross compiler is missing (a skip).
"""

import re
import sys
import tempfile
from pathlib import Path

from arm_images import PREFIX, REPOSITORY, Broken, Missing, build, output
from stack_bound import Bound

IMAGES = ("node_semihosting", "node_uart", "node_paced")
# They share one priority, so one at a time is stacked on the program.
INTERRUPTS = ("uart_handler", "systick_handler", "timer_handler", "watchdog_handler")
# Bytes. The boards have 256 K and 64 K; these leave room for what the core is still to learn.
FLASH_MAX, RAM_MAX, STACK_MARGIN = 48 * 1024, 40 * 1024, 512
# An exception stacks eight words, and one more to align.
EXCEPTION_FRAME = 36
# 64-bit division; anything else of the compiler's library is unwanted, floating point above all.
LIBRARY = ("_aeabi_ldivmod.o", "_aeabi_uldivmod.o", "_udivmoddi4.o", "_divmoddi4.o", "_dvmd_tls.o")
UNWANTED = re.compile(
    r"(?<![:\w])(malloc|free|calloc|realloc|_?sbrk|abort|exit|printf|operator (new|delete)"
    r"|__cxa_\w+|__gxx_personality\w*|_Unwind_\w+|__aeabi_atexit|__aeabi_unwind\w*"
    r"|typeinfo|vtable|guard variable|std::(terminate|__throw\w*)|_GLOBAL__sub_I\w*)"
)


def symbols(elf, *options):
    """(address, type, name) of each."""
    for line in output(PREFIX + "nm", *options, elf).splitlines():
        match = re.match(r"([0-9a-f]*)\s+(\w) (.*)", line)
        if match:
            yield int(match[1] or "0", 16), match[2], match[3]


def size_findings(elf):
    sections = {}
    for line in output(PREFIX + "size", "-A", elf).splitlines():
        if match := re.match(r"\.(\w+)\s+(\d+)", line):
            sections[match[1]] = int(match[2])
    flash = sections["text"] + sections.get("data", 0)
    ram = sections["stack"] + sections.get("data", 0) + sections.get("bss", 0)
    print(f"{elf.stem}: flash {flash} of {FLASH_MAX} bytes, RAM {ram} of {RAM_MAX}")
    if flash > FLASH_MAX:
        yield f"flash: {flash} bytes, {FLASH_MAX} allowed"
    if ram > RAM_MAX:
        yield f"RAM: {ram} bytes, {RAM_MAX} allowed"


def symbol_findings(elf, link_map):
    for _, _, name in symbols(elf, "-C"):
        if UNWANTED.search(name):
            yield f"symbol: {name}"
    for archive, member in re.findall(r"^(\S+\.a)\((\S+)\)$", link_map.read_text(), re.MULTILINE):
        if Path(archive).name != "libgcc.a" or member not in LIBRARY:
            yield f"library: {Path(archive).name}({member})"


def readable(names):
    """Function names alone, without scopes, parameters and files."""
    mangled = [name.rpartition(":")[2] for name in names]
    plain = output(PREFIX + "c++filt", "-p", *mangled).split("\n")
    return [name.rpartition("::")[2] for name in plain if name]


def stack_findings(elf, folder):
    # What every image shares, and what is this one's own.
    shared, own = (folder / f"CMakeFiles/{name}.dir" for name in ("node_code", elf.stem))
    files = sorted([*shared.rglob("*.ci"), *own.rglob("*.ci")])
    code = output(PREFIX + "objdump", "-d", "--no-show-raw-insn", elf)
    bound = Bound(files, code, readable)
    total = 0
    handlers = max((bound.deepest(root) + (root,) for root in INTERRUPTS))
    # An interrupt may come at the worst moment of the program, a fault at the worst of that.
    for size, chain, root in (
        (*bound.deepest("reset_handler"), "reset_handler"),
        handlers,
        (*bound.deepest("fault_handler"), "fault_handler"),
    ):
        total += size + (EXCEPTION_FRAME if total else 0)
        print(f"  stack of {root}: {size}: " + " > ".join(readable(chain)))
    top = next(address for address, _, name in symbols(elf) if name == "stack_top")
    room = top - 0x20000000
    print(f"  stack in all {total} of {room} bytes, {STACK_MARGIN} of them to spare")
    yield from sorted(bound.findings)
    if total + STACK_MARGIN > room:
        yield f"stack: {total} bytes and {STACK_MARGIN} to spare, {room} there"


def check(folder, images=IMAGES):
    """What is wrong with the images built in `folder`; prints the figures."""
    findings = []
    for name in images:
        elf = folder / f"{name}.elf"
        for found in (
            *size_findings(elf),
            *symbol_findings(elf, folder / f"{name}.map"),
            *stack_findings(elf, folder),
        ):
            findings.append(f"{name}: {found}")
    return findings


def main(root=REPOSITORY, build_folder=None):
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(build_folder or scratch)
        try:
            build(folder, Path(root))
            findings = check(folder)
        except Missing as missing:
            print(f"skipped: {missing}")
            return 77
        except Broken as broken:
            findings = [str(broken)]
    for finding in findings:
        print(finding)
    print(f"check_image.py: {len(findings)} found")
    return 1 if findings else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
