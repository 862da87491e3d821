"""The worst stack of an image, from what the compiler says of each function: its frame
(-fstack-usage) and whom it calls (-fcallgraph-info=su), and from the disassembly of what has no
such file (libgcc). Recursion, a frame of no fixed size and a call through a pointer have no bound:
each is a finding."""

import re

_NODE = re.compile(r'^node: \{ title: "([^"]+)" label: "([^"]*)"')
_EDGE = re.compile(r'^edge: \{ sourcename: "([^"]+)" targetname: "([^"]+)"')
_FRAME = re.compile(r"(\d+) bytes \(([^)]*)\)")
_FUNCTION = re.compile(r"^[0-9a-f]+ <([^>]+)>:$")
_CALL = re.compile(r"^b(?:l|lx|\w{2})?(?:\.[nw])?\s+[0-9a-f]+ <([^>+]+)>$")
_SINGLE_PUSH = re.compile(r"^str(?:\.w)?\s+\w+, \[sp, #-(\d+)\]!$")
_DOUBLE_PUSH = re.compile(r"^(?:strd|stmdb)(?:\.w)?\s.*\[?sp.*#-(\d+)\]!$")
_PUSH = re.compile(r"^(?:push|stmdb)(?:\.w)?\s+(?:sp!, )?\{([^}]*)\}$")
_ROOM = re.compile(r"^sub(?:w|\.w)?\s+sp, (?:sp, )?#(\d+)$")


def from_compiler(files):
    """Returns ({function: (bytes, kind)}, {function: callees}) of .ci files."""
    frames, calls = {}, {}
    for path in files:
        for line in path.read_text().splitlines():
            if (node := _NODE.match(line)) and (frame := _FRAME.search(node[2])):
                frames[node[1]] = (int(frame[1]), frame[2])
            elif edge := _EDGE.match(line):
                calls.setdefault(edge[1], set()).add(edge[2])
    return frames, calls


def registers(text):
    """How many registers stand in a list such as "r4, r6-r8, lr"."""
    count = 0
    for part in text.split(","):
        first, _, last = part.strip().partition("-")
        count += int(last[1:]) - int(first[1:]) + 1 if last else 1
    return count


def from_disassembly(text):
    """The same of every function of `objdump -d --no-show-raw-insn`."""
    frames, calls, name = {}, {}, None
    for line in text.splitlines():
        if function := _FUNCTION.match(line):
            name = function[1]
            frames[name], calls[name] = (0, "static"), set()
            continue
        if name is None or "\t" not in line:
            continue
        words = " ".join(line.split("\t")[1:]).split(";")[0].split("@")[0].strip()
        words = re.sub(r"\s+", " ", words)
        size = 0
        if push := _PUSH.match(words):
            size = 4 * registers(push[1])
        elif room := _ROOM.match(words) or _SINGLE_PUSH.match(words) or _DOUBLE_PUSH.match(words):
            size = int(room[1])
        elif (call := _CALL.match(words)) and call[1] != name:
            calls[name].add(call[1])
        frames[name] = (frames[name][0] + size, "static")
    return frames, calls


class Bound:
    """`names(functions)` says how findings call them."""

    def __init__(self, files, disassembly, names=list):
        self.names = names
        self.frames, self.calls = from_compiler(files)
        library_frames, library_calls = from_disassembly(disassembly)
        for name, frame in library_frames.items():
            if name not in self.frames:
                self.frames[name], self.calls[name] = frame, library_calls[name]
        self.findings = set()
        self.known = {}

    def deepest(self, name, path=()):
        """(bytes, functions) of the deepest chain that begins with `name`."""
        if name in path:
            chain = " > ".join(self.names([*path[path.index(name) :], name]))
            self.findings.add(f"stack: recursion: {chain}")
            return 0, ()
        if name == "__indirect_call":
            self.findings.add(f"stack: {self.names(path[-1:])[0]} calls through a pointer")
            return 0, ()
        if name not in self.frames:
            callers = " < ".join(self.names([name, *path[::-1]]))
            self.findings.add(f"stack: nothing known of {callers}")
            return 0, ()
        if name not in self.known:
            size, kind = self.frames[name]
            if kind != "static":
                self.findings.add(f"stack: the frame of {self.names([name])[0]} is {kind}")
            below = [self.deepest(c, (*path, name)) for c in sorted(self.calls.get(name, ()))]
            bytes_below, chain = max(below, default=(0, ()))
            self.known[name] = (size + bytes_below, (name, *chain))
        return self.known[name]
