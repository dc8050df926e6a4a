#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <slowdawn/present/history_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/pages.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/page_files.hpp"
#include "present/report_parts.hpp"

namespace slowdawn {
namespace {

using SheetPhase = TodayView::Phase;

/// A day on which something is set, moved or looked at.
struct SheetRow {
  std::size_t day;
  /// Empty where the lights stay as they are.
  std::optional<Step> step;
  std::vector<std::string> moves;
  /// By group.
  std::vector<bool> looks;
};

/// Whether a group is to be looked at on a day: every seventh, in a followed plan
/// from the day on which its next look is due.
bool is_look_due(const PlannedRamp& ramp, std::size_t today, std::size_t day, std::size_t group) {
  if (ramp.followed == nullptr) return is_day_to_look(day);
  if (!ramp.is_there(day, group)) return false;
  for (const Wait& wait : waits_that_hold(ramp)) {
    if (wait.group == group && look_day_of(ramp, wait) == day) return true;
  }
  const auto due = static_cast<std::size_t>(
      std::max(ramp.followed->standings[group].next_look_day, static_cast<int>(today)));
  return day >= due && is_day_to_look(day - due);
}

std::vector<SheetRow> list_rows(const PlannedRamp& ramp, std::size_t today) {
  const std::vector<Step> steps = list_steps(ramp.plan);
  std::vector<SheetRow> rows;
  for (std::size_t day = 0; day < ramp.plan.days.size(); ++day) {
    SheetRow row{day, {}, moves_on(ramp, day), {}};
    const auto step = std::find_if(steps.begin(), steps.end(),
                                   [&](const Step& one) { return one.first_day == day; });
    if (step != steps.end()) row.step = *step;
    bool is_of_use = row.step || !row.moves.empty();
    for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
      row.looks.push_back(is_look_due(ramp, today, day, g));
      is_of_use = is_of_use || row.looks.back();
    }
    if (is_of_use) rows.push_back(std::move(row));
  }
  return rows;
}

/// How many lines of writing a row takes on paper.
std::size_t lines_of(const SheetRow& row) {
  constexpr std::size_t letters_a_line = 90;
  std::size_t letters = 0;
  for (const std::string& move : row.moves) letters += display_width(move) + 2;
  const std::size_t of_moves = (letters + letters_a_line - 1) / letters_a_line;
  return 1 + of_moves + (row.step && row.step->is_even() ? 1 : 0);
}

/// The rows of one sheet, and the day on which the next one begins.
struct SheetRows {
  std::vector<SheetRow> rows;
  std::optional<std::size_t> next_day;
};

/// What a page of A4 or Letter has room for beside its notes; many columns make
/// the heads of the table higher.
std::size_t room_for_lines(const PlannedRamp& ramp) {
  constexpr std::size_t lines = 28;
  constexpr std::size_t columns_with_room = 9;
  const std::size_t columns = ramp.tank.groups.size() + ramp.setup.path_lights.size();
  const std::size_t more = columns - std::min(columns, columns_with_room);
  return lines - std::min<std::size_t>(more, 15);
}

/// All rows where they fit; else those from the setting of today on that do.
SheetRows rows_that_fit(const PlannedRamp& ramp, const TodayView& today) {
  const bool is_before = today.phase == SheetPhase::before_start;
  std::vector<SheetRow> rows = list_rows(ramp, is_before ? 0 : today.day);
  const std::size_t room = room_for_lines(ramp);
  std::size_t lines = 0;
  for (const SheetRow& row : rows) lines += lines_of(row);
  if (lines <= room) return {std::move(rows), {}};

  std::size_t first = 0;
  for (std::size_t i = 0; i < rows.size() && rows[i].day <= today.day; ++i) {
    if (rows[i].step || rows[i].day == today.day) first = i;
  }
  SheetRows fitting;
  lines = 0;
  for (std::size_t i = first; i < rows.size(); ++i) {
    lines += lines_of(rows[i]);
    if (lines > room) {
      fitting.next_day = rows[i].day;
      break;
    }
    fitting.rows.push_back(std::move(rows[i]));
  }
  return fitting;
}

/// All but those that are gone.
std::vector<std::size_t> groups_of_sheet(const PlannedRamp& ramp) {
  std::vector<std::size_t> groups;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    if (!is_gone_today(ramp, g)) groups.push_back(g);
  }
  return groups;
}

Html sheet_head(const PlannedRamp& ramp) {
  constexpr std::size_t longest_name = 24;
  const auto head = [](std::string_view css_class, std::string_view words) {
    const std::string safe = to_safe_text(words);
    const std::string shown =
        display_width(safe) > longest_name ? fit_left(safe, longest_name) : safe;
    return element("th", {{"scope", "col"}, {"class", std::string{css_class}}}, name_html(shown));
  };
  Html cells = head("box", "Done") + head("date", "From");
  for (const std::size_t light : ramp.setup.path_lights) {
    cells += head("light", ramp.tank.lights[light].name);
  }
  for (const std::size_t g : groups_of_sheet(ramp)) {
    cells += head("group", ramp.tank.groups[g].name);
  }
  return element("thead", element("tr", cells));
}

Html sheet_dials(const PlannedRamp& ramp, const SheetRow& row) {
  Html cells;
  const auto dials = ramp.dials(row.day);
  for (const std::size_t light : ramp.setup.path_lights) {
    const TankLight& of = ramp.tank.lights[light];
    std::string text = to_text(dials.at(light));
    const bool is_even = row.step && row.step->is_even();
    if (is_even) text += " to " + to_text(ramp.dials(row.step->reached_day).at(light));
    const std::string channels = channels_text(of, dials.at(light));
    if (!channels.empty()) text += " (" + channels + ")";
    const std::string_view css_class = is_even ? "dial even" : row.step ? "dial" : "dial same";
    cells += text_element(
        "td", {{"class", std::string{css_class}}, {"data-light", ramp.tank.lights[light].name}},
        text);
  }
  return cells;
}

/// What is to be done besides turning the dial: a line of its own below the row.
std::string row_notes(const PlannedRamp& ramp, const SheetRow& row) {
  std::string notes;
  for (const std::string& move : row.moves) {
    notes += (notes.empty() ? "Before the lights: " : "; ") + move;
  }
  const PlanDay& day = ramp.plan.days[row.day];
  if (row.step && day.by_hand && !day.is_as_recorded) {
    notes += std::string{notes.empty() ? "" : ". "} + "Dialled by hand, as the logbook says";
  }
  if (ramp.begins_leg(row.day)) {
    notes += fmt::format("{}Leg {} begins", notes.empty() ? "" : ". ", ramp.leg(row.day));
  }
  if (row.step && row.step->is_even()) {
    notes += fmt::format("{}Evenly until {}, a little every day", notes.empty() ? "" : ". ",
                         to_iso(ramp.date(row.step->reached_day)));
  }
  return notes;
}

Html sheet_rows(const PlannedRamp& ramp, const SheetRow& row) {
  const std::string date = to_iso(ramp.date(row.day));
  Html cells = element("td", {{"class", "box"}}, element("span", {{"class", "tick"}}));
  cells += element("th", {{"scope", "row"}},
                   text_element("span", weekday(ramp.date(row.day)).substr(0, 3) + " ") +
                       time_html(ramp.date(row.day)));
  cells += sheet_dials(ramp, row);
  const Html to_write = text_element("span", "c") + text_element("span", "e");
  const std::vector<std::size_t> groups = groups_of_sheet(ramp);
  for (const std::size_t g : groups) {
    cells += row.looks[g] ? element("td", {{"class", "look"}}, to_write) : element("td");
  }
  Html made =
      element("tr", {{"data-date", date}, {"class", row.step ? "step" : "only-look"}}, cells);
  if (const std::string notes = row_notes(ramp, row); !notes.empty()) {
    const std::size_t columns = 2 + ramp.setup.path_lights.size() + groups.size();
    made +=
        element("tr", text_element("td", {{"class", "moves"}, {"colspan", std::to_string(columns)}},
                                   notes + "."));
  }
  return made + Html::markup("\n");
}

/// Until when the sheet reaches, and how the next one is printed.
Html reach_words(const PlannedRamp& ramp, const SheetRows& shown) {
  const std::string end = to_iso(ramp.date(ramp.plan.days.size() - 1));
  if (!shown.next_day && is_waiting(ramp)) {
    return text_element("p", {{"id", "reach"}},
                        "The plan waits with the last setting. Print the next sheet when it goes "
                        "on.");
  }
  if (!shown.next_day) {
    return text_element("p", {{"id", "reach"}},
                        "This sheet reaches to the end of the plan on " + end +
                            "; its last setting holds from then on.");
  }
  const std::string file = std::filesystem::path{ramp.tank.file}.filename().string();
  const std::string until = to_iso(ramp.date(*shown.next_day - 1));
  const std::string next = to_iso(ramp.date(*shown.next_day));
  const std::string date = ramp.followed == nullptr ? " --date " + next : "";
  return element(
      "p", {{"id", "reach"}},
      prose(fmt::format("This sheet reaches until {}; the plan goes on until {}. {}", until, end,
                        ramp.followed == nullptr
                            ? "The next sheet: "
                            : "Print the next one on " + next + ", when all looks are logged: ")) +
          text_element("code", "slowdawn sheet " + file + date + " -o sheet.html"));
}

}  // namespace

std::string sheet_page(const PlannedRamp& ramp, const PageView& view) {
  constexpr std::size_t longest_name = 60;
  const std::string name = to_safe_text(ramp.tank.name);
  Html main = element(
      "h1", name_html(display_width(name) > longest_name ? fit_left(name, longest_name) : name));
  if (!view.today) {
    main +=
        text_element("p", "There is no safe way to begin this ramp. Leave the light as it is.") +
        list_html(note_texts(ramp));
  } else {
    if (ramp.is_proposal()) main += text_element("p", {{"id", "proposal"}}, proposal_words);
    if (ramp.followed != nullptr && view.date >= ramp.date(ramp.followed->today)) {
      for (const std::string& piece : first_news(ramp)) {
        main += element("p", {{"class", "first-news"}}, unbroken_prose(piece));
      }
    }
    const SheetRows shown = rows_that_fit(ramp, *view.today);
    Html rows;
    for (const SheetRow& row : shown.rows) rows += sheet_rows(ramp, row);
    main += text_element("p",
                         "Set each row on its date, before the lights come on, and tick it. In the "
                         "framed boxes write how each group looks: c, its colour in steps against "
                         "its habit (-1 is paler), and e, its extension (less, usual, more).");
    const Html heading =
        text_element("caption", std::string{"Every step up: "} + only_after_a_look);
    main += scroll_box("The steps", element("table", {{"id", "sheet-table"}},
                                            heading + sheet_head(ramp) + element("tbody", rows)));
    if (const std::string gone = gone_text(ramp); !gone.empty()) {
      main += text_element("p", {{"id", "gone"}}, gone);
    }
    if (const std::string guess = guess_words(ramp.tank); !guess.empty()) {
      main += text_element("p", {{"id", "guess"}}, guess);
    }
    main += reach_words(ramp, shown);
  }
  main += Html::markup(sheet_notes_html());
  main +=
      text_element("p", {{"class", "quiet"}},
                   fmt::format("{}; made by slowdawn {} for {}.",
                               ramp.followed != nullptr ? "The plan as followed and logged"
                                                        : "The plan as proposed, not followed yet",
                               view.version, to_iso(view.date)));
  return page_html("sheet", ramp.tank.name + ": sheet from " + to_iso(view.date), sheet_css(),
                   element("main", main));
}

}  // namespace slowdawn
