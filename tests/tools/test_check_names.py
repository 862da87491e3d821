"""tools/check_names.py finds constants of headers that the linker would take for one."""

import unittest

from planted import PlantedTree

import check_names


def header(line, space="rimebench"):
    return f"namespace {space} {{\n{line}\n}}\n"


class CheckNames(PlantedTree):
    def test_two_headers_with_one_name_are_found(self):
        self.plant("harness/a/a.hpp", header("inline constexpr auto kRows = std::to_array({1});"))
        self.plant("harness/b/b.hpp", header("inline constexpr int kRows{2};"))
        found = ["harness/b/b.hpp:2: rimebench::kRows stands in harness/a/a.hpp:2 too"]
        self.assertEqual(check_names.check(self.root), found)

    def test_what_the_linker_tells_apart_is_left_alone(self):
        self.plant("harness/a/a.hpp", header("inline constexpr int kOne = 1;"))
        self.plant("harness/b/b.hpp", header("inline constexpr int kOne = 1;", "rimebench::physics"))
        self.plant("harness/b/c.hpp", header("struct C {\n  static constexpr int kOne = 2;\n};"))
        self.plant("harness/b/d.cpp", header("constexpr int kOne = 3;"))
        self.plant("harness/b/e.hpp", header("#if X\ninline constexpr int kTwo = 1;\n#else\n"
                                             "inline constexpr int kTwo = 2;\n#endif"))
        self.assertEqual(check_names.check(self.root), [])


if __name__ == "__main__":
    unittest.main()
