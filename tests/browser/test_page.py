#!/usr/bin/env python3
"""A report in a real browser: what is drawn is what the document says; every control does its work;
nothing is asked of a network; nothing bars a reader who does not see, or has no mouse."""

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
import invented

ROOT = Path(__file__).resolve().parent.parent.parent
PAGE = ROOT / "harness/report/page"
MODULES = Path(os.environ.get("RIMEBENCH_PAGE_MODULES", PAGE / "node_modules"))
COMMAND = os.environ.get("RIMEBENCH_COMMAND", str(ROOT / "build/rimebench"))
KPA_PER_PSI = 6.894757293168
SCENARIOS = ("inline_no_ramp", "rotary_steady", "stop_restart", "warm_after_break", "whole_shift")
REAL = {name: ("run", f"config/scenarios/{name}.yaml") for name in SCENARIOS} | {
    "real_plan": ("plan", "config/plans/inline4_can_355.yaml"),
    "real_suite": ("suite", "config/scenarios", "--only", "inline_*"),
    "real_compare": ("compare", "config/scenarios/inline_ramp.yaml", "--recipe", "config/recipes/inline4_ramp.yaml",
                     "--recipe", "config/recipes/inline4_no_ramp.yaml"),
    "real_audit": ("audit", "config/logs/wires.vcd", "--line", "config/lines/rotary.yaml", "--recipe", "config/recipes/rotary_can_355.yaml",
                   *(word for wire in ("D0=line_pulse", "D1=!container_sensor", "D2=valve", "D3=valve_actual", "D4=run_permit", "D5=reject")
                     for word in ("--wire", wire))),
}


def missing():
    """Why this cannot run here, or nothing."""
    for program, package in (("node", "nodejs"), ("esbuild", "esbuild"), ("chromium", "chromium")):
        if not shutil.which(program):
            return f"{program} is not installed (tools/setup installs {package})"
    for module in ("playwright-core", "axe-core", "uplot"):
        if not (MODULES / module).is_dir():
            return f"{module} is not in {MODULES} (tools/setup puts it there, with npm)"
    return None


def embed(page, document):
    return page.replace("@document@", json.dumps(document).replace("<", "\\u003c"))


def task_of(name, document, folder):
    """What the driver does with an invented document."""
    task = {"name": name, "file": f"{folder}/{name}.html", "axe": name != "shift"}
    block = next((b for b in document["blocks"] if b["type"] == "containers"), None)
    if block and name != "odd":
        at, kpa = invented.stored(block, "sensor_us"), invented.stored(block, "equilibrium_kpa")
        rows = [i for i, value in enumerate(kpa) if value is not None]
        least, most = min(rows, key=kpa.__getitem__), max(rows, key=kpa.__getitem__)
        if name == "shift":  # low ones that are good: seen only where a bar begins at its least
            rows = [i for i in rows if 169 < kpa[i] < 171][:3000]
        task["points"] = [[at[i], kpa[i]] for i in (least, most, *rows[:: max(1, len(rows) // 12)])]
        task["nowhere"] = [at[rows[-1]] / 2, 252]
        task["least"], task["container"] = least + 1, 5
    if name in ("run", "shift", "suite"):
        task["pdf"] = f"{folder}/{name}.pdf"
    return task


class Browser:
    """All reports opened once; the tests below read what came of it."""

    def __init__(self, folder):
        self.folder = Path(folder)
        out = self.folder / "page.html"
        subprocess.run(["node", PAGE / "build.mjs", out, MODULES], check=True, cwd=ROOT)
        self.page = out.read_text()
        self.documents = {name: make() for name, make in invented.DOCUMENTS.items()}
        tasks = [task_of(name, document, folder) for name, document in self.documents.items()]
        for name, document in self.documents.items():
            (self.folder / f"{name}.html").write_text(embed(self.page, document))
        tampered = self.page.replace("<script>", "<script> ")
        (self.folder / "tampered.html").write_text(embed(tampered, self.documents["suite"]))
        tasks.append({"name": "tampered", "file": f"{folder}/tampered.html", "broken": True})
        self.real = self.real_reports()
        tasks += [{"name": f"real_{name}", "file": str(path), "axe": True} for name, path in self.real.items()]
        (self.folder / "tasks.json").write_text(json.dumps(tasks))
        driver = Path(__file__).parent / "driver.mjs"
        subprocess.run(["node", driver, MODULES, self.folder / "tasks.json", self.folder / "results.json"], check=True)
        self.found = {each["name"]: each for each in json.loads((self.folder / "results.json").read_text())}
        self.tasks = {task["name"]: task for task in tasks}

    def real_reports(self):
        """Reports that the command itself makes."""
        made = {}
        for name, command in REAL.items():
            path = self.folder / f"{name}.html"
            if report(command, path):
                made[name] = path
        return made


def report(command, path):
    """Whether this command makes reports; it has made this one then."""
    if "--report" not in said(COMMAND, command[0], "--help"):
        return False
    run = subprocess.run([COMMAND, *command, "--report", path], capture_output=True, text=True, cwd=ROOT)
    if run.returncode > 2 or not path.exists():
        raise AssertionError(f"{' '.join(command)}: no report: {run.stderr or run.stdout}")
    return True


def said(*command):
    if not Path(command[0]).exists():
        return ""
    return subprocess.run(command, capture_output=True, text=True).stdout


def document_in(path):
    text = path.read_text()
    start = text.index('id="document">') + len('id="document">')
    return json.loads(text[start : text.index("</script>", start)])


class Page(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.scratch = tempfile.TemporaryDirectory(prefix="rimebench-browser-")
        cls.browser = Browser(cls.scratch.name)
        cls.found, cls.documents = cls.browser.found, cls.browser.documents

    @classmethod
    def tearDownClass(cls):
        cls.scratch.cleanup()

    def used(self):
        """Reports whose charts were used, with their containers block."""
        for name, task in self.browser.tasks.items():
            if "points" in task:
                block = next(b for b in self.documents[name]["blocks"] if b["type"] == "containers")
                yield name, task, self.found[name], block

    def test_every_document_is_drawn_without_an_error_and_without_a_request(self):
        for name, found in self.found.items():
            with self.subTest(name):
                self.assertEqual(found["requests"], [])
                if name != "tampered":
                    self.assertEqual((found["page"]["drawn"], found["errors"]), ("yes", []))

    def test_a_script_that_was_changed_does_not_run(self):
        self.assertIn("default-src 'none'", self.browser.page)
        self.assertIsNone(self.found["tampered"]["page"]["drawn"])
        self.assertIn("Content Security Policy", " ".join(self.found["tampered"]["errors"]))

    def test_verdict_and_why_stand_on_top(self):
        for name, document in self.documents.items():
            with self.subTest(name):
                page, verdict = self.found[name]["page"], document["verdict"]
                self.assertEqual(page["outcome"], None if verdict["outcome"] == "none" else verdict["outcome"])
                self.assertEqual(page["why"], verdict["why"][0] if verdict["why"] else None)
                self.assertEqual(page["title"], document["title"])
                self.assertEqual(len(page["figures"]), len(verdict.get("figures", [])))

    def test_every_block_stands_under_its_heading_in_its_order(self):
        for name, document in self.documents.items():
            with self.subTest(name):
                sections = self.found[name]["page"]["sections"]
                self.assertEqual(list(sections)[:-1], [block["id"] for block in document["blocks"]])
                for block in document["blocks"]:
                    self.assertEqual(sections[block["id"]]["heading"], block["heading"])

    def test_the_table_of_places_has_the_figures_of_the_packed_rows(self):
        for name, _, found, block in self.used():
            with self.subTest(name):
                self.check_places(found["page"]["sections"]["containers"]["tables"][0], block, 1, "kPa", 1)
                self.check_places(found["steps"]["psi"]["sections"]["containers"]["tables"][0], block, 1 / KPA_PER_PSI, "psi", 1)

    def check_places(self, rows, block, factor, unit, digits):
        place, kpa = invented.stored(block, "place"), invented.stored(block, "equilibrium_kpa")
        for row in rows:
            values = [v * factor for p, v in zip(place, kpa) if p == int(row[0]) and v is not None]
            self.assertEqual(int(row[1].replace("\u202f", "")), len(values))
            for cell, expected in ((row[2], sum(values) / len(values)), (row[4], min(values)), (row[5], max(values))):
                number, found_unit = cell.replace("\u2212", "-").split("\u00a0")
                self.assertEqual(found_unit, unit)
                self.assertAlmostEqual(float(number), expected, delta=0.51 * 10 ** -(digits if unit == "kPa" else 0) + 1e-6)
        self.assertEqual(len(rows), len(set(place)))

    def test_the_chart_paints_every_extreme_and_every_sample_where_the_rows_have_it(self):
        for name, task, found, _ in self.used():
            with self.subTest(name):
                self.assertEqual(len(found["painted"]), len(task["points"]))
                self.assertGreater(min(found["painted"]), 0, found["painted"])
                self.assertEqual(found["empty"], 0)

    def test_the_container_under_the_pointer_is_named_and_a_click_draws_its_timing(self):
        for name, task, found, block in self.used():
            with self.subTest(name):
                kpa = invented.stored(block, "equilibrium_kpa")[task["least"] - 1]
                self.assertRegex(found["readout"], rf"^Container {task['least']}\b.*{kpa:.1f}\u00a0kPa")
                self.assertRegex(found["clicked"], rf"^Container {task['least']}\b")

    def test_keys_wheel_and_drag_move_through_the_run(self):
        for name, _, found, _ in self.used():
            with self.subTest(name):
                steps = found["steps"]
                self.assertTrue(steps["whole"].startswith("whole run"))
                shown = [steps[key] for key in ("zoomed", "moved", "whole", "wheeled", "dragged")]
                self.assertEqual(len(set(shown)), len(shown), shown)
                self.assertGreater(steps["grid"], 1000)  # it is drawn anew with each move

    def test_a_container_is_found_by_number_by_step_and_from_the_table_of_failures(self):
        for name, task, found, _ in self.used():
            with self.subTest(name):
                steps, number = found["steps"], task["container"]
                self.assertRegex(steps["typed"], rf"^Container {number}\b")
                self.assertRegex(steps["next"], rf"^Container {number + 1}\b")
                self.assertIn("no container 99999999", steps["missing"])
                self.assertRegex(steps["jumped"], rf"^Container {steps['jumpTo']}\b")
                self.assertEqual(steps["focused"], steps["jumped"])

    def test_light_and_dark_follow_the_system_and_the_switch(self):
        for name, _, found, _ in self.used():
            with self.subTest(name):
                self.assertEqual((found["page"]["theme"], found["narrow"]["theme"]), ("light", "dark"))
                self.assertEqual(found["steps"]["dark"]["theme"], "dark")
                self.assertNotEqual(found["steps"]["dark"]["paper"], found["page"]["paper"])
                self.assertEqual(found["afterPrint"], "dark")

    def test_nothing_is_wider_than_a_narrow_screen(self):
        for name, found in self.found.items():
            if "narrow" in found:
                with self.subTest(name):
                    scroll, client = found["narrow"]["width"]
                    self.assertLessEqual(scroll, client)

    def test_axe_finds_no_serious_fault_in_light_and_dark(self):
        for name, found in self.found.items():
            with self.subTest(name):
                self.assertEqual(found.get("faults", []), [])

    def test_a_report_prints_on_few_pages_of_a4(self):
        for name, most in (("run", 9), ("shift", 9), ("suite", 3)):
            with self.subTest(name):
                data = Path(self.browser.tasks[name]["pdf"]).read_bytes()
                self.assertLessEqual(len(re.findall(rb"/Type\s*/Page\b", data)), most)
                boxes = {tuple(round(float(n)) for n in box.split()) for box in re.findall(rb"/MediaBox\s*\[([^\]]*)\]", data)}
                self.assertEqual(boxes, {(0, 0, 595, 842)})

    def test_a_file_stays_small(self):
        sizes = {name: (self.browser.folder / f"{name}.html").stat().st_size for name in self.documents}
        self.assertLess(sizes.pop("shift"), 12_000_000)
        self.assertLess(max(sizes.values()), 400_000, sizes)

    def test_what_is_unknown_or_broken_is_named_and_the_rest_is_drawn(self):
        sections = self.found["odd"]["page"]["sections"]
        self.assertIn('"hologram"', sections["later"]["text"])
        self.assertIn("the packed figures are damaged", sections["broken"]["text"])
        self.assertIn("No container finished", sections["empty"]["text"])
        self.assertIn("<img src=x onerror=alert(1)>", sections["hostile"]["text"])
        self.assertEqual(sections["alone"]["drawings"], 1)

    def test_a_short_row_is_filled_up_and_an_empty_column_is_left_out(self):
        rows = self.found["run"]["page"]["sections"]["failures"]["tables"][0]
        self.assertEqual({len(row) for row in rows}, {6})
        self.assertEqual((rows[0][5], rows[1][5]), ("stop, chatter", "–"))

    def test_numbers_read_as_people_write_them_in_the_units_chosen(self):
        first = self.found["run"]["page"]["sections"]["numbers"]["values"]
        psi = self.found["run"]["steps"]["psi"]["sections"]["numbers"]["values"]
        self.assertEqual(first, [text for _, text, _ in invented.NUMBERS])
        self.assertEqual(psi, [other or text for _, text, other in invented.NUMBERS])

    def test_limits_without_an_owner_are_not_approved(self):
        rows = self.found["run"]["page"]["sections"]["signoff"]["tables"][0]
        self.assertEqual([row[2] for row in rows], ["container maker", "brand quality", "not approved"])

    def test_real_reports_are_drawn_whole(self):
        if not self.browser.real:
            self.skipTest("the command makes no report")
        for name, path in self.browser.real.items():
            with self.subTest(name):
                document, page = document_in(path), self.found[f"real_{name}"]["page"]
                self.assertEqual(list(page["sections"])[:-1], [block["id"] for block in document["blocks"]])
                self.assertNotIn("could not be drawn", "".join(s["text"] for s in page["sections"].values()))
                self.assertLess(path.stat().st_size, 12_000_000 if name == "whole_shift" else 500_000)
                for block in document["blocks"]:
                    if block["type"] == "containers" and any(c["name"] == "equilibrium_kpa" for c in block["columns"]):
                        self.check_places(page["sections"][block["id"]]["tables"][0], block, 1, "kPa", 1)


    def test_real_documents_hold_to_the_schema_and_come_alone_as_well(self):
        if not self.browser.real:
            self.skipTest("the command makes no report")
        validator = schema_validator(self)
        for name, path in self.browser.real.items():
            with self.subTest(name):
                errors = validator.iter_errors(document_in(path))
                self.assertEqual([f"{list(e.absolute_path)}: {e.message}" for e in errors], [])
        alone = self.browser.folder / "alone.json"
        self.assertTrue(report(REAL["inline_no_ramp"], alone))
        self.assertEqual(json.loads(alone.read_text()), document_in(self.browser.real["inline_no_ramp"]))


class Schema(unittest.TestCase):
    """Documents hold to the published schema."""

    def test_invented_documents_are_valid_and_spoiled_ones_are_not(self):
        validator = schema_validator(self)
        for name, make in invented.DOCUMENTS.items():
            if name != "shift":
                with self.subTest(name):
                    self.assertEqual([error.message for error in validator.iter_errors(make())], [])
        for spoil in ({"format": "rimebench report 0"}, {"verdict": {"outcome": "fine", "why": []}}, {"about": None}):
            self.assertFalse(validator.is_valid({**invented.plan(), **spoil}), spoil)


def schema_validator(test):
    try:
        import jsonschema
    except ImportError:
        test.skipTest("python3-jsonschema is not installed (tools/setup installs it)")
    schema = json.loads((ROOT / "harness/report/report.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


if __name__ == "__main__":
    if (why := missing()) is not None:
        print(f"skipped: {why}")
        sys.exit(77)
    unittest.main()
