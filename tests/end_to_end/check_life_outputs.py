#!/usr/bin/env python3
"""What every output says of a plan that is lived with: what it waits for, what changed, where its
legs began, who is gone. A small tank is lived with from day to day by SLOWDAWN_TODAY.

check_life_outputs.py PROGRAM SOURCE_FOLDER [-k WORD]
"""
import csv
import datetime
import html
import io
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import unittest

PROGRAM = str(pathlib.Path(sys.argv.pop(1)).resolve())
SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
STORY = pathlib.Path(__file__).resolve().parent / "story.tank.json"
START = datetime.date(2026, 8, 3)
GROUPS = ["staghorn", "bird's nest", "star polyps"]
NOTHING_MORE = re.compile("nothing changes|no further step|up to [^.]*, and no further|The last one holds|"
                          "holds from then on|held for good", re.IGNORECASE)
ONLY_AFTER_A_LOOK = "nly after a good look at every group in the last 7 days"


def date_of(day):
    return (START + datetime.timedelta(days=day)).isoformat()


def plain(page):
    """A page's words, without its script."""
    body = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.S)
    body = re.sub(r'<span class="whole">(.*?)</span>', r"\1", body)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", body)).split())


class Lived(unittest.TestCase):
    # Pages are long: no failure prints a whole one.
    def assertRegex(self, text, regex, msg=None):
        if not re.search(regex, text):
            self.fail(f"{regex} is not in {text[:1500]}")

    def assertNotRegex(self, text, regex, msg=None):
        found = re.search(regex, text)
        if found:
            self.fail(f"{found} in ...{text[max(0, found.start() - 200):found.end() + 200]}...")

    def assertIn(self, member, container, msg=None):
        if member not in container:
            self.fail(f"{member} is not in {str(container)[:1500]}")

    def setUp(self):
        holder = tempfile.TemporaryDirectory()
        self.addCleanup(holder.cleanup)
        self.path = pathlib.Path(holder.name)
        (self.path / "story.tank.json").write_text(STORY.read_text())

    def run_on(self, day, *words, expect=0):
        clean = {k: v for k, v in os.environ.items() if k not in ("SLOWDAWN_TANK", "NO_COLOR")}
        clean["SLOWDAWN_TODAY"] = date_of(day)
        result = subprocess.run([PROGRAM, *map(str, words)], cwd=self.path, env=clean,
                                stdin=subprocess.DEVNULL, capture_output=True, text=True,
                                check=False)
        self.assertEqual(result.returncode, expect, (words, result.stdout, result.stderr))
        return result.stdout

    def words_on(self, day, *words):
        return " ".join(self.run_on(day, *words).split())

    def json_on(self, day, *words):
        return json.loads(self.run_on(day, *words, "--json"))

    def page_on(self, day, kind, *words):
        return self.run_on(day, kind, *words)

    def calendar_on(self, day, *words):
        """Events by (date, kind of summary)."""
        text = self.run_on(day, "calendar", *words).replace("\n ", "").replace("\\,", ",")
        found = {}
        for event in text.split("BEGIN:VEVENT")[1:]:
            line = dict(part.split(":", 1) for part in event.splitlines() if ":" in part)
            date = re.sub(r"(\d{4})(\d\d)(\d\d)", r"\1-\2-\3", line["DTSTART;VALUE=DATE"])
            is_look = line["SUMMARY"].startswith("Look")
            found[(date, "look" if is_look else "step")] = line
        return found

    def follow(self, *words):
        self.run_on(0, "follow", *words)
        for day in (0, 3, 7):
            self.run_on(day, "checkin", "--all")

    def strain(self):
        self.follow()
        self.run_on(10, "checkin", "staghorn", "--colour", "-2")


class Waiting(Lived):
    def test_no_output_says_that_nothing_changes_any_more(self):
        self.strain()
        # Long after the last day of a plan that only waits, too.
        for day in (10, 12, 17, 25, 60):
            waits = self.json_on(day, "today")["waits_for"]
            self.assertEqual(waits["what"], "good_looks")
            self.assertEqual(self.json_on(day, "plan")["waits_for"], waits)
            self.assertEqual(self.json_on(day, "why")["waits_for"], waits)
            self.assertGreater(waits["earliest"], date_of(day))
            self.assertGreater(waits["dials"]["panel"],
                               self.json_on(day, "today")["dials"]["panel"])
            outputs = {"today": self.words_on(day, "today"), "plan": self.words_on(day, "plan"),
                       "why": self.words_on(day, "why"),
                       "report": plain(self.page_on(day, "report")),
                       "sheet": plain(self.page_on(day, "sheet"))}
            for name, words in outputs.items():
                with self.subTest(name, day=day):
                    self.assertRegex(words, "(?i)waits for two good looks at staghorn, 3 days apart")
                    self.assertIn(f"panel {waits['dials']['panel']} %, on {waits['earliest']} at "
                                  "the earliest", words)
                    self.assertNotRegex(words, NOTHING_MORE)

    def test_the_earliest_day_comes_true_and_no_day_before(self):
        self.strain()
        wait = self.json_on(10, "today")["waits_for"]
        for day in range(11, 30):
            dials = self.json_on(day, "today")["dials"]
            if date_of(day) == wait["earliest"]:
                self.assertEqual(dials, wait["dials"])
                return
            self.assertLess(dials["panel"], wait["dials"]["panel"])
            if day in (11, 14):
                words = self.words_on(day, "checkin", "--all")
                self.assertRegex(words, "Waits|Next: panel")
        self.fail("it never came")

    def test_the_calendar_asks_for_a_look_on_that_day(self):
        self.strain()
        earliest = self.json_on(12, "today")["waits_for"]["earliest"]
        event = self.calendar_on(12)[(earliest, "look")]
        self.assertIn("staghorn", event["SUMMARY"])
        self.assertIn("The plan waits for this.", event["DESCRIPTION"])
        self.assertIn("two good looks at staghorn", event["DESCRIPTION"])

    def test_the_newest_change_stands_before_all_other_sentences(self):
        self.strain()
        changed = f"Changed on {date_of(10)} from panel 50 % to panel 35 %"
        for day in (10, 12, 16):
            report = plain(self.page_on(day, "report").split('id="today"')[1])
            self.assertRegex(report, rf"Today, \w+ {date_of(day)} 35 % panel {changed}")
            self.assertLess(plain(self.page_on(day, "sheet")).index(changed),
                            plain(self.page_on(day, "sheet")).index("Set each row"))
            self.assertIn(changed, self.words_on(day, "plan"))
        self.assertNotIn("Changed on", self.words_on(17, "plan"))
        self.assertNotIn("Changed on", plain(self.page_on(17, "report")))

    def test_a_hurt_group_waits_for_its_restart(self):
        self.follow()
        self.run_on(10, "checkin", "bird's nest", "--tissue", "lost")
        words = self.words_on(11, "today")
        self.assertIn('until you restart it (slowdawn checkin "bird\'s nest" --restart): after 14 '
                      "days without a sign, with a good look of the last 3.", words)
        self.assertEqual(self.json_on(11, "plan")["waits_for"]["what"], "restart")
        event = self.calendar_on(11)[(date_of(24), "look")]  # day 10 + 14
        self.assertIn("bird's nest", event["SUMMARY"])

    def test_after_light_by_accident_it_waits_for_a_look(self):
        self.follow()
        self.run_on(11, "dialed", "panel", "100", "--until", date_of(11))
        wait = self.json_on(12, "today")["waits_for"]
        self.assertEqual(wait["what"], "a_look_after_accident")
        for words in (self.words_on(12, "today"), self.words_on(12, "plan"),
                      plain(self.page_on(12, "report")), plain(self.page_on(12, "sheet"))):
            self.assertRegex(words, rf"On {date_of(11)} staghorn, bird's nest and star polyps had "
                                    r"[\d.]+ % over the cap of that day\. That taught nothing")
        self.assertIn("every group", self.calendar_on(12)[(date_of(14), "look")]["SUMMARY"])
        self.run_on(14, "checkin", "--all")
        # What held the days of then is still said as it was.
        self.assertIn("light by accident", self.words_on(16, "plan"))
        self.assertNotIn("not looked at", self.words_on(16, "plan"))

    def test_nobody_looked_and_the_rise_is_conditional(self):
        self.follow()
        words = self.words_on(17, "today")
        self.assertIn("Waits for a good look at staghorn, bird's nest and star polyps; then panel",
                      words)
        self.assertNotIn("Next:", words)
        self.assertIn(f"Nobody has looked at {', '.join(GROUPS)} since {date_of(7)}", words)

    def test_nobody_looked_while_the_light_runs_by_itself(self):
        self.run_on(0, "follow", "--even")
        self.run_on(0, "checkin", "--all")
        told = (f"Nobody has looked at staghorn, bird's nest and star polyps since {date_of(0)}, "
                "and the light goes on rising by itself")
        self.assertNotIn("Nobody", self.words_on(7, "today"))
        before = self.json_on(9, "today")["dials"]["panel"]
        self.assertIn(told, self.words_on(10, "today"))
        self.assertIn(told, plain(self.page_on(10, "report")))
        self.assertGreater(self.json_on(10, "today")["dials"]["panel"], before)
        self.assertIsNone(self.json_on(10, "today")["waits_for"])


class Printed(Lived):
    def check_steps(self, day, *words):
        steps = [event for (_, kind), event in self.calendar_on(day, *words).items()
                 if kind == "step"]
        risen = [event for event in steps if re.search(r"Changed: panel from (\d+) % to (\d+) %",
                                                       event["DESCRIPTION"])
                 and "Day 0 " not in event["DESCRIPTION"]]
        self.assertGreater(len(risen), 3)
        for event in risen:
            old, new = re.search(r"Changed: panel from (\d+) % to (\d+) %",
                                 event["DESCRIPTION"]).groups()
            self.assertEqual(ONLY_AFTER_A_LOOK in event["DESCRIPTION"], int(new) > int(old))
        sheet = self.page_on(day, "sheet", *words)
        self.assertRegex(sheet, rf"<table[^>]*>\s*<caption>[^<]*{ONLY_AFTER_A_LOOK}")

    def test_every_step_of_a_proposal_asks_for_a_look_first(self):
        self.check_steps(0)

    def test_every_step_of_a_followed_plan_asks_for_a_look_first(self):
        self.follow()
        self.check_steps(7)


class Legs(Lived):
    def setUp(self):
        super().setUp()
        self.follow()
        before = self.calendar_on(8)
        self.steps_before = {date for (date, kind), event in before.items()
                             if kind == "step" and date > date_of(8)}
        self.run_on(8, "follow", "--to", "panel 90", "--pace", "gentle")

    def test_each_output_marks_where_a_leg_began(self):
        legs = [date_of(0), date_of(8)]
        plan = self.json_on(9, "plan")
        self.assertEqual(plan["legs"], legs)
        self.assertEqual(self.json_on(9, "today")["legs"], legs)
        self.assertEqual(plan["days"][0]["date"], legs[0])
        rows = list(csv.DictReader(io.StringIO(self.run_on(9, "plan", "--csv"))))
        for row in rows:
            self.assertEqual(row["leg"], "1" if row["date"] < legs[1] else "2")
        self.assertRegex(self.run_on(9, "plan"), rf"\n-- leg 2 begins\n{legs[1]}  ")
        report = self.page_on(9, "report")
        charts = report.count('<figure class="chart')
        self.assertEqual(charts, 1 + len(GROUPS))
        self.assertEqual(report.count('<g class="leg"><title>leg 2</title>'), charts)
        self.assertEqual(report.count('class="leg-word">leg 2</text>'), charts)
        self.assertEqual(report.count(f"Leg 2 begins on {legs[1]}."), charts)
        self.assertRegex(plain(report), rf"{legs[1]} day 8 [\d.]+ % (now )?leg 2 begins")
        self.assertIn("Leg 2 begins.", plain(self.page_on(9, "sheet")))

    def test_another_goal_is_told_as_such(self):
        goal = self.json_on(9, "plan")["reaches_goal"]
        self.assertIn(f"Changed on {date_of(8)}: the plan was followed again. The goal, panel 90 %, "
                      f"is now on {goal}.", self.words_on(9, "today"))

    def test_days_of_an_earlier_leg_are_not_dialled_by_hand(self):
        for words in (self.words_on(9, "plan"), plain(self.page_on(9, "report")),
                      plain(self.page_on(9, "sheet")), self.words_on(9, "today", "--date",
                                                                     date_of(2))):
            self.assertNotRegex(words, "(?i)by hand")

    def test_the_calendar_cancels_what_is_no_longer_planned(self):
        events = self.calendar_on(8)
        cancelled = {date for (date, kind), event in events.items()
                     if kind == "step" and event["STATUS"] == "CANCELLED"}
        planned = {date for (date, kind), event in events.items()
                   if kind == "step" and event["STATUS"] == "CONFIRMED"}
        days = self.json_on(8, "plan")["days"]
        turned = {day["date"] for before, day in zip(days, days[1:])
                  if day["dials"] != before["dials"]}
        self.assertEqual(planned, turned | {date_of(0)})
        # Cancelled events say so in their summary, and begin with no "Look".
        self.assertEqual(cancelled, self.steps_before - planned)
        self.assertGreater(len(cancelled), 0)

    def test_a_proposal_says_so_first(self):
        first = "A proposal: what would come if the plan were followed again so."
        options = ("--pace", "brisk")
        for words in (("plan",), ("why",), ("risk",), ("today",),
                      ("judge", "--dials", f"{date_of(10)} 45")):
            text = self.words_on(9, *words, *options)
            self.assertTrue(text.startswith(first), text[:200])
            self.assertNotIn(first, self.words_on(9, *words))
            self.assertIs(self.json_on(9, *words, *options)["is_proposal"], True)
        report = self.page_on(9, "report", *options)
        self.assertIn(f"</h1><p class=\"chore\" id=\"proposal\">{first}", report)
        self.assertIn("a proposal on", re.search("<title>(.*?)</title>", report).group(1))
        self.assertIn(first, plain(self.page_on(9, "sheet", *options)))
        self.assertNotIn(first, plain(self.page_on(9, "report")))


class Groups(Lived):
    def test_who_is_gone_is_left_out_and_named_once(self):
        self.follow()
        self.run_on(9, "gone", "star polyps")
        there = GROUPS[:2]
        plan = self.json_on(10, "plan")
        for day in plan["days"]:
            names = [group["name"] for group in day["groups"]]
            self.assertEqual(names, GROUPS if day["date"] < date_of(9) else there)
        self.assertEqual([group.get("gone_since") for group in plan["groups"]],
                         [None, None, date_of(9)])
        rows = list(csv.DictReader(io.StringIO(self.run_on(10, "plan", "--csv"))))
        self.assertEqual([[row["date"], row["group"]] for row in rows],
                         [[day["date"], group["name"]] for day in plan["days"]
                          for group in day["groups"]])
        text = self.run_on(10, "plan")
        self.assertEqual(text.count("star polyps"), 1)
        self.assertIn(f"Gone since {date_of(9)}: star polyps.", text)
        sheet = plain(self.page_on(10, "sheet"))
        self.assertEqual(sheet.count("star polyps"), 1)
        report = self.page_on(10, "report")
        self.assertRegex(report, '<tr data-day-group="star polyps" hidden')
        self.assertNotRegex(report, '<tr data-day-group="staghorn" hidden')
        self.assertIn("star polyps", plain(report.split('id="gone"')[1].split("</p>")[0]))
        self.assertNotIn("star polyps", plain(report.split('id="caps"')[1].split("</table>")[0]))
        for event in self.calendar_on(10).values():
            self.assertNotIn("star polyps", event["DESCRIPTION"] + event["SUMMARY"])
        self.assertEqual(self.json_on(30, "today")["due"], there)
        self.assertIn(f"star polyps is gone since {date_of(9)}",
                      self.words_on(10, "why", "star polyps"))
        self.assertIn("any of the 2 groups", self.words_on(10, "risk"))
        # It was there before.
        self.assertIn("star polyps on", self.words_on(10, "why", "star polyps", "--date",
                                                      date_of(5)))

    def test_what_several_looks_say_is_one_sentence(self):
        self.run_on(0, "follow")
        self.assertTrue(self.words_on(0, "checkin", "--all").startswith(
            "All looked well: staghorn, bird's nest, star polyps. Written"))
        self.assertTrue(self.words_on(1, "checkin", "staghorn").startswith("staghorn is at ease."))
        self.run_on(3, "checkin", "staghorn", "--colour", "-2")
        self.run_on(3, "checkin", "bird's nest", "--colour", "-2")
        self.assertRegex(self.words_on(4, "today"),
                         r"staghorn \([\d.]+\) and bird's nest \([\d.]+\) stay at these doses until "
                         "two good looks at each, 3 days apart or more, and 7 days after the strain")
        self.assertIn("staghorn and bird's nest look well; the ramp goes on once they have done so "
                      "twice, 3 days apart or more, and 7 days after the strain.",
                      self.words_on(6, "checkin", "--all"))


if __name__ == "__main__":
    unittest.main()
