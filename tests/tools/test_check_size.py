"""tools/check_size.py finds functions and files that are too long, and too many parameters."""

import unittest

from planted import PlantedTree

import check_size


def function(head, lines):
    """A function of so many lines, the first and the last included."""
    return f"{head} {{\n" + "  work();\n" * (lines - 2) + "}\n"


class CheckSize(PlantedTree):
    def findings(self, text):
        return list(check_size.check_file("a.cpp", text))

    def test_fifty_lines_are_a_function_and_one_more_is_not(self):
        self.assertEqual(self.findings(function("int f(int a)", 50)), [])
        self.assertEqual(
            self.findings("\n" + function("int f(int a)", 51)),
            ["a.cpp:2: a function of 51 lines, 50 allowed"],
        )

    def test_no_way_to_write_a_function_hides_its_length(self):
        for head in (
            "template <class T>\nauto f(T a) noexcept -> std::vector<T>",
            "Belt::Belt(int a) : a_(a), b_{a, 2}",
            "bool Belt::operator()(int a, int b) const",
            "void f()  // {\n",
            "[[nodiscard]] const std::map<int, int>& f() const override",
            'TEST("{")',
        ):
            self.assertEqual(len(self.findings(function(head, 60))), 1, head)

    def test_a_function_is_found_inside_namespaces_and_classes(self):
        text = "namespace a::b {\nclass C final : public D {\n public:\n"
        text += "  C() = default;\n  int x_{3};\n"
        text += function("  int f()", 51) + "};\n}\n"
        self.assertEqual(self.findings(text), ["a.cpp:6: a function of 51 lines, 50 allowed"])

    def test_a_long_table_is_no_function(self):
        rows = "    {1, f(2)},\n" * 100
        for head, tail in (("auto k = std::to_array<Row>({", "});"), ("Row k[] = {", "};")):
            self.assertEqual(self.findings(f"constexpr {head}\n{rows}{tail}\n"), [])

    def test_after_a_table_functions_are_still_found(self):
        text = "constexpr Row k[] = {{1}, {2}};\n" + function("int f()", 51)
        self.assertEqual(self.findings(text), ["a.cpp:2: a function of 51 lines, 50 allowed"])

    def test_five_parameters_are_enough(self):
        five = "int a, std::map<int, int> b, int c = max(1, 2), int d = {}, void (*e)(int, int)"
        self.assertEqual(self.findings(f"void f({five});\n"), [])
        self.assertEqual(
            self.findings(f"void f({five}, int g);\n"),
            ["a.cpp:1: a function of 6 parameters, 5 allowed"],
        )
        self.assertEqual(len(self.findings(function(f"C::C({five}, int g) : a_(a)", 3))), 1)

    def test_a_file_has_at_most_400_lines(self):
        self.assertEqual(self.findings("\n" * 400), [])
        self.assertEqual(self.findings("\n" * 401), ["a.cpp:1: 401 lines, 400 allowed"])

    def test_every_layer_is_looked_at(self):
        for folder in ("firmware_sim/core", "plant_model/line", "harness/cli", "tools/node"):
            self.plant(f"{folder}/a.cpp", "\n" * 401)
        self.assertEqual(len(check_size.check(self.root)), 4)


if __name__ == "__main__":
    unittest.main()
