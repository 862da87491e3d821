"""tools/check_image.py stops every construct that a bare machine cannot bear."""

import contextlib
import io
import shutil
import sys
import tempfile
import unittest
from pathlib import Path

from planted import REPOSITORY

import arm_images
import check_image
import stack_bound

# Each stands behind firmware_sim/core/curve.cpp, and `planted` is called where a curve is read.
HEAD = """
#include <cstddef>
#include <cstdint>
namespace rimebench {
extern volatile std::int64_t seen;
volatile std::int64_t seen;
"""
PLANTS = {  # what it is: (how it is found, its source)
    "floating point": (
        r"library: libgcc.a\(_arm_muldf3.o\)",
        """void planted() {
        seen = static_cast<std::int64_t>(static_cast<double>(seen) * 1.5); }""",
    ),
    "heap": (
        r"undefined reference to .operator new",
        "extern int* volatile kept; int* volatile kept; void planted() { kept = new int(1); }",
    ),
    "exception": (
        "exception handling disabled",
        "void planted() { if (seen == 5) throw 1; }",
    ),
    "virtual call": (
        "at calls through a pointer",
        """struct B { virtual int f() { return 1; } }; extern B* volatile b;
        B* volatile b; void planted() { seen = b->f(); }""",
    ),
    "call through a pointer": (
        "at calls through a pointer",
        """using F = int (*)(int); extern volatile F f; volatile F f;
        void planted() { seen = f(1); }""",
    ),
    "recursion": (
        "recursion: deeper > deeper",
        """[[gnu::noinline, gnu::optimize("no-optimize-sibling-calls")]]
        int deeper(int n) { seen = n; return n == 0 ? 1 : n * deeper(n - 1); }
        void planted() { seen = deeper(static_cast<int>(seen)); }""",
    ),
    "frame of no fixed size": (
        "the frame of planted is dynamic",
        """void planted() {
        auto* p = static_cast<volatile char*>(__builtin_alloca(static_cast<unsigned>(seen)));
        p[0] = 1; }""",
    ),
    "constructor to run": (
        "an object needs a constructor or destructor to run",
        """extern std::int64_t early; std::int64_t early = seen + 1;
        void planted() { seen = early; }""",
    ),
    "function-local static": (
        "undefined reference to .__cxa_guard_acquire",
        "void planted() { static std::int64_t once = seen; seen = once; }",
    ),
    "large frame": (
        "stack: \\d+ bytes and 512 to spare, 6144 there",
        "void planted() { volatile char big[6000]; big[seen] = 1; seen = big[1]; }",
    ),
    "large object": (
        "RAM: \\d+ bytes, 40960 allowed",
        "extern char big[20000]; char big[20000]; void planted() { big[seen] = 1; }",
    ),
    "large code": (
        "flash: \\d+ bytes, 49152 allowed",
        """extern const char much[20000]; const char much[20000] = {1};
        void planted() { seen = much[seen]; }""",
    ),
    "C library": (
        "undefined reference to .printf",
        """extern "C" int printf(const char*, ...);
        void planted() { seen = printf("x"); }""",
    ),
    "clock": (
        "undefined reference to .time",
        'extern "C" long time(long*); void planted() { seen = time(nullptr); }',
    ),
}


class CheckImage(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(folder.cleanup)
        cls.root = Path(folder.name) / "tree"
        shutil.copytree(REPOSITORY / "firmware_sim", cls.root / "firmware_sim")
        cls.source = cls.root / "firmware_sim/core/curve.cpp"
        cls.clean = cls.source.read_text()

    def findings(self, plant):
        text = self.clean
        if plant:
            text = "namespace rimebench { void planted(); }\n" + text + HEAD + plant + "\n}\n"
            entry = text.index("{", text.index("Curve::at("))
            text = text[: entry + 1] + "\n  planted();" + text[entry + 1 :]
        self.source.write_text(text)
        try:
            arm_images.build(self.root / "build", self.root, "node_uart")
        except arm_images.Broken as broken:
            return ["does not build: " + str(broken)]
        with contextlib.redirect_stdout(io.StringIO()):
            return check_image.check(self.root / "build", ["node_uart"])

    def test_the_tree_as_it_is_has_nothing_to_find(self):
        self.assertEqual(self.findings(""), [])

    def test_each_planted_construct_is_found(self):
        for name, (found, plant) in PLANTS.items():
            with self.subTest(name):
                self.assertRegex("\n".join(self.findings(plant)), found)


class StackBound(unittest.TestCase):
    def test_pushes_and_room_of_a_library_function_add_up_and_calls_are_followed(self):
        text = (
            "00000100 <outer>:\n"
            "     100:\tstmdb\tsp!, {r4, r5, r6, lr}\n"
            "     104:\tsub\tsp, #8\n"
            "     106:\tbl\t200 <inner>\n"
            "     10a:\tb.n\t104 <outer+0x4>\n"
            "00000200 <inner>:\n"
            "     200:\tpush\t{r4-r7, lr}\n"
            "     202:\tstrd\tip, lr, [sp, #-16]!\n"
            "     206:\tbx\tlr\n"
        )
        bound = stack_bound.Bound([], text)
        self.assertEqual(bound.deepest("outer"), (16 + 8 + 20 + 16, ("outer", "inner")))
        self.assertEqual(bound.findings, set())


if __name__ == "__main__":
    try:
        arm_images.demand_compiler()
    except arm_images.Missing as missing:
        print(f"skipped: {missing}")
        sys.exit(77)
    unittest.main()
