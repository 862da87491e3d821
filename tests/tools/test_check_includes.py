"""tools/check_includes.py finds each kind of forbidden dependency, at its line."""

import unittest

from planted import REPOSITORY, PlantedTree

import check_includes


class CheckIncludes(PlantedTree):
    def setUp(self):
        super().setUp()
        self.plant("plant_model/line/belt.hpp", "")
        self.plant("firmware_sim/units/quantity.hpp", "")

    def findings(self):
        return check_includes.check(self.root)

    def test_the_core_must_not_include_the_plant(self):
        self.plant("firmware_sim/core/dose.cpp", '// why\n#include "plant_model/line/belt.hpp"\n')
        self.assertEqual(
            self.findings(),
            ["firmware_sim/core/dose.cpp:2: firmware_sim/core must not include plant_model/line"],
        )

    def test_the_core_sees_only_units_and_contract(self):
        self.assertEqual(
            check_includes.MAY_INCLUDE["firmware_sim/core"],
            ["firmware_sim/units", "firmware_sim/contract"],
        )

    def test_the_plant_never_sees_core_wire_port_or_harness(self):
        hidden = {"firmware_sim/core", "firmware_sim/wire", "firmware_sim/port"}
        for room, allowed in check_includes.MAY_INCLUDE.items():
            if room.startswith("plant_model/"):
                seen = [a for a in allowed if a in hidden or a.startswith("harness/")]
                self.assertEqual(seen, [], room)

    def test_a_listed_include_passes(self):
        self.plant("firmware_sim/core/dose.cpp", '#include "firmware_sim/units/quantity.hpp"\n')
        self.assertEqual(self.findings(), [])

    def test_an_include_in_angle_brackets_hides_nothing(self):
        self.plant("firmware_sim/core/dose.cpp", "#include <plant_model/line/belt.hpp>\n")
        self.assertEqual(len(self.findings()), 1)

    def test_an_include_is_written_from_the_top_folder(self):
        self.plant("plant_model/line/belt.cpp", '#include "belt.hpp"\n')
        self.assertIn("belt.cpp:1: ", self.findings()[0])

    def test_no_room_includes_the_tests(self):
        self.plant("tests/support/fake.hpp", "")
        self.plant("harness/cli/run.cpp", '#include "tests/support/fake.hpp"\n')
        self.assertEqual(
            self.findings(), ["harness/cli/run.cpp:1: harness/cli must not include tests"]
        )

    def test_a_room_outside_the_table_is_an_error(self):
        self.plant("plant_model/weather/rain.hpp", "")
        self.assertIn("plant_model/weather: a room", self.findings()[0])

    def test_a_source_outside_any_room_is_an_error(self):
        self.plant("harness/stray.cpp", "")
        found = ["harness/stray.cpp:1: a source file must stand in a room"]
        self.assertEqual(self.findings(), found)

    def test_a_cycle_is_named(self):
        graph = {"a": ["b"], "b": ["c"], "c": ["b"]}
        self.assertEqual(
            check_includes.cycles(graph), ["b depends on itself", "c depends on itself"]
        )

    def test_a_link_the_table_forbids_is_an_error(self):
        self.plant(
            "CMakeLists.txt",
            "room(firmware_sim/units)\nroom(firmware_sim/contract room_units)\n"
            "room(plant_model/line room_contract)\nroom(firmware_sim/core room_line)\n",
        )
        self.assertEqual(
            self.findings(),
            ["CMakeLists.txt: firmware_sim/core must not link to plant_model/line"],
        )

    def test_a_room_that_is_included_must_be_linked(self):
        self.plant("CMakeLists.txt", "room(firmware_sim/units)\nroom(firmware_sim/contract)\n")
        self.assertEqual(
            self.findings(),
            [
                "CMakeLists.txt: firmware_sim/contract may include firmware_sim/units "
                "but does not link to it"
            ],
        )

    def test_the_rooms_of_this_repository_are_read(self):
        rooms = check_includes._ROOM.findall((REPOSITORY / "CMakeLists.txt").read_text())
        self.assertGreaterEqual(len(rooms), 10)


if __name__ == "__main__":
    unittest.main()
