"""tools/check_banned.py finds each thing that is banned, and only where it is banned."""

import unittest

from planted import PlantedTree

import check_banned


class CheckBanned(PlantedTree):
    def found(self, name, line):
        self.plant(name, f"// a comment\n{line}\n")
        findings = check_banned.check(self.root)
        (self.root / name).unlink()
        self.assertTrue(all(f.startswith(f"{name}:2: ") for f in findings), findings)
        return bool(findings)

    def test_every_ban_bites_in_the_plant(self):
        for line in (
            "auto t = std::chrono::steady_clock::now();",
            "auto t = std::chrono::system_clock::now();",
            "auto t = std::chrono::high_resolution_clock::now();",
            "long t = time(nullptr);",
            "gettimeofday(&t, nullptr);",
            "std::this_thread::sleep_for(a);",
            "int n = rand();",
            "std::random_device device;",
            "std::normal_distribution<double> d(0, 1);",
            "std::unordered_map<int, int> m;",
            "std::map<const Container*, int> m;",
            "std::set<Container*> s;",
            "double y = std::exp(x);",
            "double y = pow(x, 2);",
            "double y = -std::log1p(x);",
            "float y = sinf(x);",
            "#include <spdlog/spdlog.h>",
        ):
            self.assertTrue(self.found("plant_model/line/belt.cpp", line), line)

    def test_what_only_looks_like_it_passes(self):
        for line in (
            "double y = std::sqrt(x) + natural_log(x);",
            "Instant at = due.time(lane);",
            "// steady_clock is banned, and so is std::exp(x)",
            '/* rand() */ auto text = "time(nullptr) exp(x)";',
            "std::map<int, Container*> m;",
            "int n = operand(3);",
            "exporter.log(x);",
        ):
            self.assertFalse(self.found("plant_model/line/belt.cpp", line), line)

    def test_the_link_and_the_port_meet_the_wall_clock(self):
        line = "auto t = std::chrono::steady_clock::now();"
        self.assertFalse(self.found("harness/link/tcp.cpp", line))
        self.assertFalse(self.found("firmware_sim/port/host.cpp", line))
        self.assertTrue(self.found("harness/session/paced.cpp", line))
        self.assertTrue(self.found("tests/link/tcp.cpp", line))

    def test_the_c_library_serves_the_ledger_alone(self):
        line = "auto y = std::exp(x);"
        self.assertFalse(self.found("plant_model/physics/boil_off.cpp", line))
        self.assertFalse(self.found("harness/judge/interval.cpp", line))
        self.assertFalse(self.found("harness/report/curve.cpp", line))
        self.assertFalse(self.found("tests/kernel/draws.cpp", line))
        self.assertTrue(self.found("plant_model/kernel/random.cpp", line))
        self.assertTrue(self.found("firmware_sim/core/dose.cpp", line))

    def test_the_controllers_side_has_no_floating_point(self):
        for line in ("double x;", "float x;", "auto x = 1.5;", "auto x = 1e6;", "auto x = 2.F;"):
            for room in ("units", "contract", "core", "wire"):
                self.assertTrue(self.found(f"firmware_sim/{room}/a.hpp", line), line)
        self.assertFalse(self.found("firmware_sim/port/a.hpp", "double x;"))
        self.assertFalse(self.found("firmware_sim/core/a.hpp", "auto x = 0x1e5 + 1'000'000;"))

    def test_the_judge_does_not_log(self):
        self.assertTrue(self.found("harness/judge/fold.cpp", 'spdlog::info("x");'))
        self.assertFalse(self.found("harness/session/run.cpp", 'spdlog::info("x");'))


if __name__ == "__main__":
    unittest.main()
