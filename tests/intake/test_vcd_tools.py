"""Dumps of an independent writer are read right, and ours are read right by an independent reader.

Writer: Icarus Verilog, which simulates IEEE 1364 and writes dumps as its clause 18 says.
Reader: sigrok-cli, with its own dump reader and its timing decoder. Both from Debian.
"""

import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

RIMEBENCH = os.environ["RIMEBENCH_COMMAND"]
SCENARIO = "config/scenarios/stop_restart.yaml"
SHOTS = 40
OPEN_US = 8
EVERY_US = 250

BENCH = f"""
`timescale 100ns / 100ns
module bench;
  reg container_sensor = 0, valve = 0;
  integer shot;
  initial begin
    $dumpfile("independent.vcd");
    $dumpvars(0, bench);
    for (shot = 0; shot < {SHOTS}; shot = shot + 1) begin
      #{10 * (EVERY_US - OPEN_US)} container_sensor = ~container_sensor; valve = 1;
      #{10 * OPEN_US} valve = 0;
    end
    #10 $finish;
  end
endmodule
"""


def run(*command, cwd):
    return subprocess.run(command, cwd=cwd, check=True, capture_output=True, text=True,
                          timeout=120).stdout


def read_theirs(folder):
    (folder / "bench.v").write_text(BENCH)
    run("iverilog", "-o", "bench", "bench.v", cwd=folder)
    run("vvp", "bench", cwd=folder)
    text = run(RIMEBENCH, "intake", "capture", "independent.vcd", "--json", "-", cwd=folder)
    wires = {wire["channel"]: wire for wire in json.loads(text)["wires"]}
    assert wires["valve"]["changes"] == 2 * SHOTS, wires
    assert wires["container_sensor"]["changes"] == SHOTS, wires
    assert wires[None]["wire"] == "bench.shot", wires
    assert json.loads(text)["end_us"] == SHOTS * EVERY_US + 1


def ours_read_by_them(folder):
    scenario = pathlib.Path(SCENARIO).resolve()
    run(RIMEBENCH, "run", scenario, "--trace", "run.trace", cwd=folder)
    run(RIMEBENCH, "export", "run.trace", "--vcd", "ours.vcd", "--wires-only", cwd=folder)
    run(RIMEBENCH, "intake", "capture", "ours.vcd", "--trace", "wires.trace", cwd=folder)
    text = (folder / "ours.vcd").read_text()
    code = re.search(r"\$var wire 1 (\S+) valve \$end", text).group(1)
    ours = len(re.findall(rf"^[01]{re.escape(code)}$", text, re.MULTILINE)) - 1
    out = run("sigrok-cli", "-I", "vcd", "-i", "ours.vcd", "-P", "timing:data=valve",
              "-A", "timing=time", cwd=folder)
    theirs = len(out.splitlines())
    assert ours > 1000
    assert theirs == ours - 1, f"{ours} edges of the valve, {theirs} times between edges"


def their_session_read(folder):
    """The demo's wires as a session that sigrok-cli writes: the same changes as from the dump."""
    dump = pathlib.Path.cwd() / "config/logs/wires.vcd"
    run("sigrok-cli", "-I", "vcd", "-i", dump, "-o", "wires.sr", cwd=folder)
    wires = ["--wire=D0=line_pulse", "--wire=D1=!container_sensor", "--wire=D2=valve"]
    read = [
        json.loads(run(RIMEBENCH, "intake", "capture", file, "--json", "-", *wires, cwd=folder))
        for file in (dump, "wires.sr")
    ]
    assert read[0]["signal_changes"] > 2000
    for capture in read:
        for wire in capture["wires"]:
            wire["wire"] = wire["wire"].rsplit(".")[-1]  # a session has no scopes
    assert read[1]["wires"] == read[0]["wires"]
    assert read[1]["digest"] == read[0]["digest"]


def main():
    for tool in ("iverilog", "vvp", "sigrok-cli"):
        if shutil.which(tool) is None:
            print(f"skipped: {tool} is not installed (tools/setup installs it)")
            return 77
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        read_theirs(folder)
        ours_read_by_them(folder)
        their_session_read(folder)
    print("a dump of Icarus Verilog read, one of ours read by sigrok-cli, a session of its own read")
    return 0


if __name__ == "__main__":
    sys.exit(main())
