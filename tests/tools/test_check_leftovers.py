"""tools/check_leftovers.py finds paths of one machine and notes of unfinished work."""

import unittest

from planted import PlantedTree

import check_leftovers


class CheckLeftovers(PlantedTree):
    def findings(self, name, text):
        self.plant(name, text)
        findings = check_leftovers.check(self.root)
        (self.root / name).unlink()
        return findings

    def test_a_path_of_one_machine_is_found_in_any_file(self):
        for path in ("/wo" "rk/main", "/ho" "me/someone", "/ro" "ot/.cache"):
            found = self.findings("docs/guide.md", f"first\nsee {path}\n")
            self.assertEqual(len(found), 1, path)
            self.assertTrue(found[0].startswith("docs/guide.md:2: "))

    def test_scratch_folders_are_for_tests(self):
        self.assertEqual(len(self.findings("tools/run", "out=/t" "mp/out\n")), 1)
        self.assertEqual(self.findings("tests/trace/file.cpp", '"/t' 'mp/out"\n'), [])

    def test_relative_paths_and_urls_pass(self):
        text = "src/wo" "rk/a, ../ho" "me, https://example.org/wo" "rk\n"
        self.assertEqual(self.findings("docs/guide.md", text), [])

    def test_unfinished_work_is_found_in_sources(self):
        for word in ("TO" "DO", "FIX" "ME", "XX" "X", "HA" "CK"):
            for name in ("harness/cli/a.cpp", "tools/a.py"):
                self.assertEqual(len(self.findings(name, f"{word}: later\n")), 1, word)
        self.assertEqual(self.findings("tools/a", "mktemp XX" "XXXX\n"), [])

    def test_what_is_built_is_not_looked_at(self):
        self.assertEqual(self.findings("build/CMakeCache.txt", "/wo" "rk/main\n"), [])


if __name__ == "__main__":
    unittest.main()
