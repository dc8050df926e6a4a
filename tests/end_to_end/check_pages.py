#!/usr/bin/env python3
"""The pages that `report` and `sheet` write, read back without a browser.

check_pages.py PROGRAM SOURCE_FOLDER [-k WORD]

Numbers are held against `plan --json`, `today` and `why --json`; charts are measured: each line is
read off its SVG path with the scale of the chart's own axis.
"""
import html.parser
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
REEF = SOURCE / "examples/stairwell-reef/stairwell-reef.tank.json"
RACK = SOURCE / "examples/frag-rack/frag-rack.tank.json"
MOVES = SOURCE / "examples/quarantine-moves/quarantine-moves.tank.json"
# Each example with a date inside its plan.
EXAMPLES = {REEF: "2026-12-20", RACK: "2027-01-25", MOVES: "2027-03-20"}
SECTIONS = ["today", "dials", "groups", "tank", "steps", "looks", "caps", "cautions", "made"]
VOID = {"meta", "br", "hr", "img", "input", "link", "wbr"}
SVG = "{http://www.w3.org/2000/svg}"


def run(*words, cwd=None, expect=0):
    clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
    result = subprocess.run([PROGRAM, *map(str, words)], cwd=cwd, env=clean, capture_output=True,
                            text=True, check=False)
    assert result.returncode == expect, (words, result.returncode, result.stdout, result.stderr)
    return result


def run_json(*words, **keys):
    return json.loads(run(*words, "--json", **keys).stdout)


class Node:
    def __init__(self, tag, attributes, parent):
        self.tag, self.attributes, self.parent = tag, attributes, parent
        self.children = []

    def walk(self):
        for child in self.children:
            if isinstance(child, Node):
                yield child
                yield from child.walk()

    def find_all(self, tag=None, **attributes):
        wanted = {k.rstrip("_").replace("_", "-"): v for k, v in attributes.items()}
        return [n for n in self.walk() if tag in (None, n.tag)
                and all(k in n.attributes and v in (None, n.attributes[k])
                        for k, v in wanted.items())]

    def find(self, tag=None, **attributes):
        found = self.find_all(tag, **attributes)
        assert found, (tag, attributes)
        return found[0]

    def has_class(self, name):
        return name in self.attributes.get("class", "").split()

    @property
    def text(self):
        return "".join(c.text if isinstance(c, Node) else c for c in self.children)


class Page(html.parser.HTMLParser):
    """A tree of the page; a tag that is not closed, or closed twice, is an error."""

    def __init__(self, source):
        super().__init__()
        self.source = source
        self.root = self.now = Node("", {}, None)
        self.feed(source)
        self.close()
        assert self.now is self.root, ("not closed", self.now.tag)

    def handle_starttag(self, tag, attrs):
        assert len(dict(attrs)) == len(attrs), ("attribute twice", tag, attrs)
        node = Node(tag, dict(attrs), self.now)
        self.now.children.append(node)
        if tag not in VOID:
            self.now = node

    def handle_endtag(self, tag):
        assert self.now.tag == tag, ("closed", tag, "inside", self.now.tag)
        self.now = self.now.parent

    def handle_data(self, data):
        self.now.children.append(data)

    def section(self, name):
        return self.root.find("section", id=name)

    def charts(self):
        return [n for n in self.root.find_all("figure") if n.has_class("chart")]

    def data(self):
        return json.loads(self.root.find("script", id="plan-data").text)

    def svgs(self):
        return [ElementTree.fromstring(text)
                for text in re.findall(r"<svg.*?</svg>", self.source, re.S)]


def report(*words, expect=0, **keys):
    return Page(run("report", *words, expect=expect, **keys).stdout)


def sheet(*words, expect=0, **keys):
    return Page(run("sheet", *words, expect=expect, **keys).stdout)


def dial_text(dial):
    return f"{dial:.2f}".rstrip("0").rstrip(".") + " %"


def dose_text(dose):
    return f"{dose:.{2 if dose < 0.995 else 1}f}"


def peak_text(peak):
    return f"{peak:.{1 if peak < 9.95 else 0}f}"


def stretches(plan):
    """The first day of each stretch: another setting, or a move."""
    moved = {move["date"] for move in plan.get("moves", [])}
    days = plan["days"]
    return [day for i, day in enumerate(days)
            if i == 0 or day["dials"] != days[i - 1]["dials"] or day["date"] in moved]


class Drawing:
    """A chart, with the scale that its axes show."""

    def __init__(self, svg, days):
        self.svg, self.days = svg, days
        values = [(float(t.text), float(t.get("y")) - 4.0) for t in self.texts("value")]
        (low, bottom), (high, top) = values[0], values[-1]
        self.value = lambda y: low + (high - low) * (bottom - y) / (bottom - top)
        # The last digit of a coordinate is a tenth of a unit.
        self.tolerance = 0.11 * (high - low) / (bottom - top)
        self.left, self.right = float(svg.get("data-left")), float(svg.get("data-right"))

    def texts(self, css_class):
        return [t for t in self.svg.iter(SVG + "text") if t.get("class") == css_class]

    def points(self, css_class):
        path = next(p.get("d") for p in self.svg.iter(SVG + "path") if p.get("class") == css_class)
        x = y = 0.0
        points = []
        for letter, numbers in re.findall(r"([MLHV])([-\d. ]+)", path):
            number = [float(n) for n in numbers.split()]
            if letter in "ML":
                x, y = number
            elif letter == "H":
                x = number[0]
            else:
                y = number[0]
            points.append((x, y))
        return points

    def at(self, css_class, day):
        """The value of a line at a time, in days from the start."""
        x = self.left + (self.right - self.left) * day / self.days
        points = self.points(css_class)
        for (x0, y0), (x1, y1) in zip(points, points[1:]):
            if x0 - 0.06 <= x <= x1 + 0.06 and x1 > x0:
                return self.value(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
        raise AssertionError(("nothing drawn", css_class, day))


class Form(unittest.TestCase):
    """What every page keeps to."""

    def pages(self):
        for tank, date in EXAMPLES.items():
            for make in (report, sheet):
                yield make(tank, "--date", date)

    def test_ids_are_unique_and_referred_to_rightly(self):
        for page in self.pages():
            ids = [n.attributes["id"] for n in page.root.find_all(id=None)]
            self.assertEqual(len(ids), len(set(ids)))
            for key in ("aria-labelledby", "aria-describedby"):
                for node in page.root.walk():
                    for name in node.attributes.get(key, "").split():
                        self.assertIn(name, ids)

    def test_headings_come_in_order_and_tables_have_scopes(self):
        for page in self.pages():
            self.assertEqual(page.root.find("html").attributes["lang"], "en")
            levels = [int(n.tag[1]) for n in page.root.walk() if re.fullmatch("h[1-6]", n.tag)]
            self.assertEqual((levels[0], levels.count(1)), (1, 1))
            for before, after in zip(levels, levels[1:]):
                self.assertLessEqual(after, before + 1)
            for head in page.root.find_all("th"):
                self.assertIn(head.attributes.get("scope"), ("row", "col"))

    def test_nothing_is_loaded_from_outside(self):
        for page in self.pages():
            policy = page.root.find("meta", http_equiv="Content-Security-Policy")
            self.assertIn("default-src 'none'", policy.attributes["content"])
            for node in page.root.walk():
                for name, value in node.attributes.items():
                    self.assertNotIn(name, ("src", "srcset", "action", "data", "poster", "style"))
                    self.assertFalse(name.startswith("on"), (node.tag, name))
                    if name in ("href", "xlink:href"):
                        self.assertTrue(value.startswith("#"), value)
                        page.section(value[1:])
            style = page.root.find("style").text
            self.assertNotRegex(style, r"url\(|@import")
            self.assertEqual(page.root.find_all("link"), [])

    def test_no_path_of_the_machine_is_in_a_page(self):
        with tempfile.TemporaryDirectory() as folder:
            tank = pathlib.Path(folder) / "reef.tank.json"
            tank.write_text(REEF.read_text())
            for make in (report, sheet):
                page = make(tank, "--date", "2026-12-20")
                self.assertNotIn(folder, page.source)
            self.assertIn("reef.tank.json", report(tank).section("made").text)

    def test_drawings_are_well_formed_and_have_a_name_and_a_text(self):
        for tank, date in EXAMPLES.items():
            page = report(tank, "--date", date)
            pictures = [svg for svg in page.svgs() if svg.get("role") == "img"]
            self.assertGreaterEqual(len(pictures), 3)
            for svg in pictures:
                named = svg.get("aria-labelledby").split()
                texts = {n.get("id"): n.text for n in svg if n.tag in (SVG + "title", SVG + "desc")}
                self.assertEqual(named, list(texts))
                self.assertTrue(all(len(text) > 10 for text in texts.values()))


class Report(unittest.TestCase):
    def test_sections_come_in_the_agreed_order(self):
        for tank, date in EXAMPLES.items():
            page = report(tank, "--date", date)
            found = [n.attributes["id"] for n in page.root.find("main").find_all("section", id=None)]
            self.assertEqual([name for name in found if name in SECTIONS], SECTIONS)
            self.assertEqual(found.index("day"), 1)

    def test_todays_setting_is_that_of_today(self):
        for date in ("2026-11-01", "2026-12-01", "2026-12-24", "2027-02-10", "2029-01-01"):
            today = report(REEF, "--date", date).section("today")
            shown = [(n.text, n.attributes["data-today-light"])
                     for n in today.find_all(data_today_light=None)]
            lines = run("today", REEF, "--date", date).stdout.split("\n\n")[0].splitlines()
            self.assertEqual(shown, [tuple(line.split("  ")) for line in lines])
        before = report(REEF, "--date", "2026-11-01").section("today").text
        self.assertIn("begins on 2026-12-01", before)
        self.assertIn("The ramp is done", report(REEF, "--date", "2029-01-01").source)

    def test_what_comes_next_and_whom_to_look_at(self):
        page = report(REEF, "--date", "2026-12-22")
        following = run_json("today", REEF, "--date", "2026-12-22")["next"]
        words = ", ".join(f"{k} {dial_text(v)}" for k, v in following["dials"].items())
        self.assertIn(f"Next: {words} on {following['date']}", page.section("today").text)
        self.assertIn("Look today", page.section("today").text)
        self.assertNotIn("Look today", report(REEF, "--date", "2026-12-23").section("today").text)
        self.assertIn("Before the lights come on: move",
                      report(RACK, "--date", "2027-01-11").section("today").text)

    def test_the_data_are_the_days_of_the_plan(self):
        for tank, date in EXAMPLES.items():
            plan = run_json("plan", tank)
            expected = [{**day, "groups": [{k: v for k, v in group.items() if k != "shade"}
                                           for group in day["groups"]]} for day in plan["days"]]
            data = report(tank, "--date", date).data()
            self.assertEqual(list(data), ["days"])
            self.assertEqual(data["days"], expected)
            self.assertEqual(set(data["days"][0]), {"date", "dials", "groups", "held_by"})

    def test_the_day_panel_shows_the_numbers_of_today(self):
        for tank, date in EXAMPLES.items():
            panel = report(tank, "--date", date).section("day")
            day = next(d for d in run_json("plan", tank)["days"] if d["date"] == date)
            self.assertEqual(panel.find(id="day-date").text, date)
            self.assertEqual({n.attributes["data-day-light"]: n.text
                              for n in panel.find_all(data_day_light=None)},
                             {name: dial_text(dial) for name, dial in day["dials"].items()})
            shown = [(row.attributes["data-day-group"], row.find(class_="dose").text,
                      row.find(class_="peak").text) for row in panel.find_all(data_day_group=None)]
            self.assertEqual(shown, [(g["name"], dose_text(g["dose"]), peak_text(g["peak"]))
                                     for g in day["groups"]])
            if day["held_by"] and day["held_by"]["group"]:
                self.assertIn(day["held_by"]["group"], panel.find(id="day-held").text)

    def test_the_table_has_a_row_for_each_step(self):
        for tank, date in EXAMPLES.items():
            plan = run_json("plan", tank)
            page = report(tank, "--date", date)
            rows = page.root.find("table", id="steps-table").find_all("tr", data_date=None)
            shown = [(row.attributes["data-date"],
                      {c.attributes["data-light"]: c.text for c in row.find_all("td", data_light=None)})
                     for row in rows]
            self.assertEqual(shown, [(day["date"], {k: dial_text(v) for k, v in day["dials"].items()})
                                     for day in stretches(plan)])
            now = [row for row in rows if row.has_class("now-row")]
            self.assertEqual(len(now), 1)
            self.assertEqual(now[0].attributes["data-date"],
                             max(r.attributes["data-date"] for r in rows
                                 if r.attributes["data-date"] <= date))
            for move in plan.get("moves", []):
                row = next(r for r in rows if r.attributes["data-date"] == move["date"])
                self.assertIn(move["group"], row.text)

    def test_the_charts_draw_the_plan(self):
        for tank, date in EXAMPLES.items():
            plan = run_json("plan", tank)
            days = plan["days"]
            charts = [Drawing(svg, len(days)) for svg in report(tank, "--date", date).svgs()
                      if svg.get("data-left")]
            lights = list(days[0]["dials"])
            self.assertEqual(len(charts), len(lights) + len(days[0]["groups"]))
            for number, day in enumerate(days):
                for chart, light in zip(charts, lights):
                    self.assertAlmostEqual(chart.at("dial-line", number + 0.5), day["dials"][light],
                                           delta=chart.tolerance)
                for chart, group in zip(charts[len(lights):], day["groups"]):
                    self.assertAlmostEqual(chart.at("dose-line", number + 0.5), group["dose"],
                                           delta=chart.tolerance)
                    if number < len(days) - 1:
                        # Points that cannot be seen apart from the line are left out.
                        self.assertAlmostEqual(chart.at("used-line", number),
                                               group["acclimated_dose"], delta=3 * chart.tolerance)

    def test_the_cap_of_the_chart_is_the_smallest_dose_limit(self):
        dose_limits = {"dose_pace", "dose_headroom", "dose_band", "check_in"}
        for tank, number in ((REEF, 19), (REEF, 40), (RACK, 30), (MOVES, 27)):
            plan = run_json("plan", tank)
            days = plan["days"]
            charts = [Drawing(svg, len(days)) for svg in
                      report(tank, "--date", days[number]["date"]).svgs() if svg.get("data-left")]
            for chart, group in zip(charts[len(days[0]["dials"]):], days[number]["groups"]):
                caps = run_json("why", tank, group["name"], "--date", days[number]["date"])["caps"]
                cap = min(c["limit"] for c in caps if c["cap"] in dose_limits)
                self.assertAlmostEqual(chart.at("cap-line", number + 0.5), cap,
                                       delta=chart.tolerance)

    def test_bands_and_what_figures_rest_on(self):
        page = report(REEF, "--date", "2026-12-20")
        for number, group in enumerate(("staghorn thicket", "plating montipora")):
            chart = page.section("groups").find_all("figure")[number]
            self.assertIn(group, chart.find("figcaption").text)
            self.assertEqual(len(chart.find_all("rect", class_="band")), 1)
        caps = page.section("caps").text
        basis = run_json("profiles", "acropora")["profiles"][0]["basis"]
        for text in basis.values():
            printed = text.replace("umol m-2 s-1", "µmol m⁻² s⁻¹").replace("mol m-2 d-1",
                                                                          "mol m⁻² d⁻¹")
            self.assertIn(printed, caps)
        # The override of the elephant ear does not rest on what its profile rests on.
        self.assertIn("10 % elephant eargiven in the tank file", caps)
        gentle = report(REEF, "--date", "2026-12-20", "--pace", "gentle").section("caps").text
        self.assertIn("15 %; at the gentle pace 10 %", gentle)

    def test_the_tank_from_above(self):
        page = report(REEF, "--date", "2026-12-20")
        plan = page.root.find("svg", class_="tank-plan")
        labels = [t.text for t in plan.find_all("text", class_="ppfd")]
        changes = {c["spot"]: c for c in run_json("survey", REEF)["changes"]}
        names = [spot["name"] for spot in json.loads(REEF.read_text())["spots"]]
        self.assertEqual(labels, [f"{peak_text(changes[n]['before'])}→{peak_text(changes[n]['after'])}"
                                  for n in names])
        dots = {t.text: (float(t.attributes["x"]), float(t.attributes["y"]))
                for t in plan.find_all("text", class_="letter")}
        # The sand lies left of the crest, and nearer to the front, which is below.
        self.assertLess(dots["e"][0], dots["a"][0])
        self.assertGreater(dots["e"][1], dots["a"][1])
        self.assertIn("~", report(MOVES, "--date", "2027-03-20").section("tank").find("table").text)

    def test_letters_of_spots_at_the_same_place_stand_apart(self):
        for tank, date in EXAMPLES.items():
            plan = report(tank, "--date", date).root.find("svg", class_="tank-plan")
            places = [(float(t.attributes["x"]), float(t.attributes["y"]))
                      for t in plan.find_all("text", class_="letter")]
            drawn = [s for s in json.loads(tank.read_text())["spots"] if "x_cm" in s]
            self.assertEqual(len(places), len(drawn))
            # Each stands on a disc with a radius of 8; a tenth is lost in rounding.
            for number, (x, y) in enumerate(places):
                for other_x, other_y in places[number + 1:]:
                    self.assertGreaterEqual(max(abs(x - other_x), abs(y - other_y)), 15.8)
        # The middle shelf of the rack lies right below the top shelf.
        rack = report(RACK, "--date", EXAMPLES[RACK]).root.find("svg", class_="tank-plan")
        self.assertEqual(len(rack.find_all("path", class_="lead")), 1)

    def test_a_tank_without_coordinates_is_not_drawn(self):
        tank = json.loads(REEF.read_text())
        for spot in tank["spots"]:
            del spot["x_cm"]
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "reef.tank.json"
            file.write_text(json.dumps(tank))
            section = report(file, "--date", "2026-12-20").section("tank")
        self.assertEqual(section.find_all("svg"), [])
        self.assertIn("No spot has coordinates", section.text)
        self.assertIn("cave mouth", section.text)

    def test_a_relative_meter_has_neither_band_nor_ceiling(self):
        tank = json.loads(REEF.read_text())
        tank["meter"]["relative"] = True
        for group in tank["groups"]:
            group.pop("history", None)
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "reef.tank.json"
            file.write_text(json.dumps(tank))
            page = report(file, "--date", "2026-12-20")
        self.assertEqual(page.root.find_all("rect", class_="band"), [])
        self.assertNotIn("Ceiling of the peak", page.section("caps").text)
        self.assertIn("The meter is relative", page.section("made").text)
        self.assertNotIn("mol m", page.section("groups").text)

    def test_the_words_of_the_readme_are_all_there(self):
        readme = (SOURCE / "README.md").read_text()
        page = report(REEF, "--date", "2026-12-20")
        cautions = " ".join(page.section("cautions").text.split())
        part = readme.split("## The cautions, first")[1].split("\n## ")[0]
        leads = re.findall(r"^- \*\*(.*?)\*\*", part, re.M)
        self.assertGreaterEqual(len(leads), 5)
        for lead in leads:
            self.assertIn(lead, cautions)
        self.assertIn("not proven safe limits", cautions)
        self.assertIn("building codes and licensed practice come before", cautions)
        looks = [row.find("td").text for row in page.section("looks").find("tbody").find_all("tr")]
        table = readme.split("| it is | when |")[1].split("\n\n")[0]
        judgements = re.findall(r"^\| ([a-z ]+) \|", table, re.M)
        self.assertEqual(sorted(looks), sorted(judgements))

    def test_how_it_was_made(self):
        made = report(REEF, "--date", "2026-12-20", "--every", "7").section("made").text
        for words in ("stairwell-reef.tank.json", "2026-11-18: tubes 100 % at 5 spots", "standard",
                      "every 7 days", "calibration within 10 %", "2026-12-20",
                      run("--version").stdout.splitlines()[0], "new frags falls to"):
            self.assertIn(words, made)

    def test_eight_groups_and_120_days_stay_under_300_kb(self):
        tank = json.loads(REEF.read_text())
        tank["groups"] += [{"name": "leather garden", "profile": "leather", "spot": "sand"},
                           {"name": "slipper corals", "profile": "fungiid", "spot": "sand"}]
        tank["groups"][3]["profile"] = "pocilloporid"
        tank["groups"][5]["override"] = {"weekly_rise_percent": 5.75}
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "gallery.tank.json"
            file.write_text(json.dumps(tank))
            days = len(run_json("plan", file)["days"])
            size = len(run("report", file, "--date", "2027-01-10").stdout.encode())
        self.assertGreaterEqual(days, 118)
        self.assertLess(size * 120 / days, 300_000)

    def test_no_safe_opening_is_said_and_is_exit_code_1(self):
        tank = json.loads(RACK.read_text())
        tank["groups"][0]["history"] = {"dose": 0.4, "peak": 12}
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "dark.tank.json"
            file.write_text(json.dumps(tank))
            page = report(file, expect=1)
            self.assertIn("no safe way to begin", page.section("today").text)
            self.assertEqual(page.data(), {"days": []})
            found = [n.attributes["id"] for n in page.root.find("main").find_all("section", id=None)]
            self.assertEqual([name for name in found if name in SECTIONS], SECTIONS)
            self.assertIn("no safe way to begin", sheet(file, expect=1).source)
            written = run_json("report", file, "-o", file.with_suffix(".html"), expect=1)
            self.assertTrue(pathlib.Path(written["written"]).read_text().startswith("<!DOCTYPE"))


class Followed(unittest.TestCase):
    """A plan that is followed, with looks, a power cut and a move."""

    def setUp(self):
        holder = tempfile.TemporaryDirectory()
        self.addCleanup(holder.cleanup)
        self.folder = pathlib.Path(holder.name)
        (self.folder / "reef.tank.json").write_text(REEF.read_text())
        self.do("follow", "--start", "2026-06-01")
        for date in ("2026-06-01", "2026-06-08", "2026-06-15"):
            self.do("checkin", "--all", "--date", date)
        self.do("checkin", "chalice", "--extension", "less", "--date", "2026-06-17")
        self.do("checkin", "torch", "--colour", "-2", "--date", "2026-06-18")
        self.do("dialed", "front bar", "0", "rear bar", "0", "--date", "2026-06-19", "--until",
                "2026-06-20")
        self.do("moved", "chalice", "sand", "--date", "2026-06-21")
        self.page = report("--date", "2026-06-22", cwd=self.folder)
        self.plan = run_json("today", "--date", "2026-06-22", cwd=self.folder)

    def do(self, *words):
        run(*words, cwd=self.folder)

    def chart_of(self, group):
        return next(c for c in self.page.charts() if c.find("h3").text == group)

    def test_check_ins_are_marked_each_by_its_kind(self):
        marks = {group: [n for n in self.chart_of(group).find_all("g", class_="look")]
                 for group in ("torch", "chalice", "elephant ear")}
        self.assertEqual({g: len(m) for g, m in marks.items()},
                         {"torch": 4, "chalice": 4, "elephant ear": 3})
        self.assertIn("strained", marks["torch"][-1].text)
        self.assertTrue(marks["torch"][-1].find("path").has_class("cross"))
        self.assertEqual(len(marks["torch"][0].find_all("circle")), 1)
        self.assertFalse(marks["chalice"][-1].find("path").has_class("cross"))
        self.assertIn("torch is strained", self.chart_of("torch").text)

    def test_todays_section_says_how_they_stand(self):
        today = self.page.section("today").text
        self.assertIn("torch stays at a dose of", today)
        self.assertEqual([n.text for n in self.page.section("today").find_all(data_today_light=None)],
                         [dial_text(d) for d in self.plan["dials"].values()])
        self.assertIn("followed since 2026-06-01", self.page.section("made").text)

    def test_a_power_cut_and_a_move_stand_in_the_table(self):
        rows = {r.attributes["data-date"]: r for r in
                self.page.root.find("table", id="steps-table").find_all("tr", data_date=None)}
        dark = rows["2026-06-19"]
        self.assertEqual([c.text for c in dark.find_all("td", data_light=None)], ["0 %", "0 %"])
        self.assertIn("dialled by hand", dark.text)
        self.assertIn("move chalice to sand", rows["2026-06-21"].text)
        lives = {r.find("th").text: r.find_all("td")[-1].text
                 for r in self.page.section("tank").find("tbody").find_all("tr")}
        self.assertEqual((lives["e sand"], lives["d cave mouth"]), ("chalice, elephant ear", ""))

    def test_the_sheet_asks_for_looks_when_they_are_due(self):
        page = sheet("--date", "2026-06-22", cwd=self.folder)
        looked = [(row.attributes["data-date"], number)
                  for row in page.root.find("table", id="sheet-table").find_all("tr", data_date=None)
                  for number, cell in enumerate(c for c in row.find_all("td")
                                                if "data-light" not in c.attributes
                                                and not c.has_class("box"))
                  if cell.has_class("look")]
        torch = [date for date, number in looked if number == 2]
        staghorn = [date for date, number in looked if number == 0]
        # After a sign in 3 days, which is past: today; without one a week after 06-15.
        self.assertEqual(torch[:2], ["2026-06-22", "2026-06-29"])
        self.assertEqual(staghorn[:2], ["2026-06-22", "2026-06-29"])
        self.assertIn("The plan as followed", page.source)


class Sheet(unittest.TestCase):
    @staticmethod
    def rows(page):
        return page.root.find("table", id="sheet-table").find_all("tr", data_date=None)

    def test_a_short_plan_is_there_as_a_whole(self):
        plan = run_json("plan", RACK)
        page = sheet(RACK, "--date", "2027-01-25")
        steps = [r for r in self.rows(page) if r.has_class("step")]
        self.assertEqual([(r.attributes["data-date"], [c.text for c in r.find_all("td", data_light=None)])
                          for r in steps],
                         [(d["date"], [dial_text(v) for v in d["dials"].values()])
                          for d in stretches(plan)])
        self.assertIn("to the end of the plan", page.root.find(id="reach").text)
        self.assertIn("Before the lights: move", page.source)
        heads = [h.text for h in page.root.find("thead").find_all("th")]
        self.assertEqual(heads[2:], ["panel"] + [g["name"] for g in plan["groups"]])

    def test_looks_are_asked_for_every_week_and_boxes_can_be_ticked(self):
        page = sheet(RACK, "--date", "2027-01-25")
        start = run_json("plan", RACK)["start"]
        groups = len(json.loads(RACK.read_text())["groups"])
        dates = [d["date"] for d in run_json("plan", RACK)["days"]]
        asked = {r.attributes["data-date"] for r in self.rows(page) if r.find_all("td", class_="look")}
        self.assertEqual(asked, set(dates[::7]))
        self.assertIn(start, asked)
        for row in self.rows(page):
            self.assertEqual(len(row.find_all("span", class_="tick")), 1)
            self.assertIn(len(row.find_all("td", class_="look")), (0, groups))

    def test_sheets_follow_one_another_without_a_gap(self):
        steps = [day["date"] for day in stretches(run_json("plan", REEF))]
        date, seen = "2026-12-01", []
        for _ in range(6):
            page = sheet(REEF, "--date", date)
            seen += [r.attributes["data-date"] for r in self.rows(page) if r.has_class("step")]
            reach = page.root.find(id="reach").text
            following = re.search(r"--date (\S+)", reach)
            if not following:
                break
            self.assertIn("stairwell-reef.tank.json", reach)
            self.assertLess(date, following[1])
            date = following[1]
        self.assertEqual(sorted(set(seen)), steps)
        self.assertIn("to the end of the plan", reach)

    def test_it_begins_with_the_setting_of_today(self):
        page = sheet(REEF, "--date", "2026-12-24")
        first = self.rows(page)[0]
        self.assertEqual(first.attributes["data-date"], "2026-12-23")
        self.assertEqual([c.text for c in first.find_all("td", data_light=None)],
                         [dial_text(d) for d in
                          run_json("today", REEF, "--date", "2026-12-24")["dials"].values()])

    def test_what_to_do_in_need_and_the_cautions(self):
        text = " ".join(Page(run("sheet", REEF).stdout).root.text.split())
        for words in ("When one closes or pales", "Do not step up", "White patches or tissue lost",
                      "Do not look into a lit lamp", "unplug before you reach into the water",
                      "not proven safe limits", "local codes and licensed practice"):
            self.assertIn(words, text)


class Names(unittest.TestCase):
    """Names with anything in them come out as text."""

    BAD = "<b>&\"x\"'</b>; =1+2, \\ é 珊瑚 \u202e $(x) \u001b[2J\u0007 </script><script>alert(1)//"
    SHOWN = BAD.replace("\u202e", "<U+202E>").replace("\u001b", "<U+001B>").replace("\u0007",
                                                                                   "<U+0007>")

    def setUp(self):
        holder = tempfile.TemporaryDirectory()
        self.addCleanup(holder.cleanup)
        self.folder = pathlib.Path(holder.name)
        tank = json.loads(REEF.read_text())
        tank["name"] = self.BAD
        for light in tank["lights"]:
            light["name"] = self.BAD + light["name"]
        for spot in tank["spots"]:
            spot["name"] = self.BAD + spot["name"]
        for survey in tank["surveys"]:
            for key in ("dials", "ppfd"):
                survey[key] = {self.BAD + k: v for k, v in survey[key].items()}
        for group in tank["groups"]:
            group["name"] = self.BAD + group["name"]
            group["spot"] = self.BAD + group["spot"]
        for side in ("from", "to"):
            tank["ramp"][side] = {self.BAD + k: v for k, v in tank["ramp"][side].items()}
        (self.folder / "odd<&.tank.json").write_text(json.dumps(tank))

    def test_in_both_pages(self):
        for command in ("report", "sheet"):
            source = run(command, "--date", "2026-12-20", cwd=self.folder).stdout
            self.assertNotRegex(source, "[\x00-\x09\x0b-\x1f\x7f\u202e]")
            page = Page(source)
            self.assertEqual(len(page.root.find_all("script")), 2 if command == "report" else 0)
            plain = Page(run(command, REEF, "--date", "2026-12-20").stdout)
            self.assertEqual(sorted({n.tag for n in page.root.walk()}),
                             sorted({n.tag for n in plain.root.walk()}))
            for svg in page.svgs():
                self.assertIsNotNone(svg.get("viewBox"))
            self.assertLessEqual(len(re.search(r"<title>(.*?)</title>", source)[1]), 70)

    def test_text_data_and_attributes_hold_the_whole_name(self):
        page = report("--date", "2026-12-20", cwd=self.folder)
        self.assertEqual(page.root.find("h1").text, self.SHOWN)
        for name, section in (("torch", "groups"), ("crest", "tank"), ("chalice", "caps")):
            self.assertIn(self.SHOWN + name, page.section(section).text)
        lights = [n.attributes["data-today-light"]
                  for n in page.section("today").find_all(data_today_light=None)]
        self.assertEqual(lights, [self.SHOWN + "front bar", self.SHOWN + "rear bar"])
        self.assertIn("odd<&.tank.json", page.section("made").text)
        self.assertEqual(page.data()["days"], run_json("plan", cwd=self.folder)["days"])


class Writing(unittest.TestCase):
    def test_file_and_standard_output_are_the_same(self):
        with tempfile.TemporaryDirectory() as name:
            for command in ("report", "sheet"):
                file = pathlib.Path(name) / f"{command}.html"
                answer = run(command, REEF, "--date", "2026-12-20", "-o", file).stdout
                self.assertIn("Written: ", answer)
                self.assertEqual(file.read_text(),
                                 run(command, REEF, "--date", "2026-12-20").stdout)
                self.assertEqual(run_json(command, REEF, "-o", file), {"written": str(file)})

    def test_errors_name_what_is_wrong_and_write_nothing(self):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            file = folder / "plan.html"
            for command in ("report", "sheet"):
                missing = run(command, REEF, "-o", folder / "none" / "plan.html", expect=3)
                self.assertIn("none", missing.stderr)
                self.assertIn("hint:", missing.stderr)
                bad = run(command, REEF, "--date", "2026-13-01", "-o", file, expect=2)
                self.assertIn("--date", bad.stderr)
                self.assertIn("--output", run(command, REEF, "--outptu", "x", expect=2).stderr)
                run(command, folder / "none.tank.json", "-o", file, expect=3)
                run(command, REEF, "--pace", "fast", "-o", file, expect=2)
            self.assertEqual(list(folder.iterdir()), [])

    def test_pages_do_not_depend_on_the_folder_or_the_day(self):
        one = run("report", REEF, "--date", "2026-12-20").stdout
        self.assertEqual(run("report", REEF, "--date", "2026-12-20", cwd="/").stdout, one)


if __name__ == "__main__":
    unittest.main()
