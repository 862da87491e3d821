#!/usr/bin/env python3
"""The package as an integrator meets it: installed elsewhere, two C nodes built against it, run."""

import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

from node_run import REPOSITORY, node_check, run, verdict

EXAMPLE = REPOSITORY / "tools/example_node"


def cmake(*words):
    result = subprocess.run(
        ["cmake", *map(str, words)], capture_output=True, text=True, check=False
    )
    if result.returncode != 0:
        raise AssertionError(f"cmake {words}: {result.stdout}{result.stderr}")


class Package(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(folder.cleanup)
        work = Path(folder.name)
        cls.prefix, cls.nodes = work / "prefix", work / "nodes"
        package = REPOSITORY / "firmware_sim/port/package"
        cmake("-S", package, "-B", work / "package", "-G", "Ninja")
        cmake("--build", work / "package")
        cmake("--install", work / "package", "--prefix", cls.prefix)
        prefix = f"-DCMAKE_PREFIX_PATH={cls.prefix}"
        cmake("-S", EXAMPLE / "c", "-B", cls.nodes, "-G", "Ninja", prefix)
        cmake("--build", cls.nodes)

    def node(self, name):
        return [self.nodes / name, "--listen", "127.0.0.1:0"]

    def test_only_the_c_headers_are_installed(self):
        headers = [p.relative_to(self.prefix / "include") for p in self.prefix.rglob("*.h*")]
        self.assertEqual(
            sorted(map(str, headers)),
            [
                "rimebench/firmware_sim/core/rimebench_core.h",
                "rimebench/firmware_sim/port/rimebench_serve.h",
            ],
        )

    def test_the_c_controller_passes_and_gives_the_digest_of_its_python_twin(self):
        in_c = run("timing_screw", self.node("fixed_delay_node"))
        twin = [sys.executable, EXAMPLE / "node.py", "--listen", "127.0.0.1:0"]
        self.assertEqual(in_c["verdict"], "pass", in_c["reason"])
        self.assertEqual(in_c["digest"], run("timing_screw", twin)["digest"])

    def test_both_keep_every_rule_of_the_protocol(self):
        for name in ("fixed_delay_node", "core_node"):
            code, said = node_check(self.node(name))
            self.assertEqual(code, 0, said)

    def test_our_core_driven_from_c_gives_the_digest_of_the_process(self):
        for scenario in ("timing_screw", "inline_ramp", "stop_restart"):
            through_c = run(scenario, self.node("core_node"), "--grant-changes", "random")
            self.assertEqual(through_c["digest"], verdict(scenario, "inproc")["digest"])

    def test_options_and_addresses_that_are_no_good_are_told(self):
        for words, told in (
            ([], "usage:"),
            (["--listen", "7000"], "usage:"),
            (["--listen", "127.0.0.1:70000"], "usage:"),
            (["--listen", "127.0.0.1:0", "--twice"], "usage:"),
            (["--listen", "unix:" + "x" * 200], "cannot listen on unix:"),
        ):
            result = subprocess.run(
                [self.nodes / "core_node", *words], capture_output=True, text=True, check=False
            )
            self.assertEqual(result.returncode, 3, words)
            self.assertIn(told, result.stderr)


if __name__ == "__main__":
    unittest.main()
