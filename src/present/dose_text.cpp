#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

#include "present/json_parts.hpp"

namespace slowdawn {
namespace {

/// What a log comes to, over its whole days, or over all if none is whole.
struct LogSummary {
  std::size_t days = 0;
  bool is_whole = true;
  DailyDose dose = {};
  Ppfd peak = {};
  Hours lit = {};
};

LogSummary summarize(const std::vector<LoggedDay>& days) {
  LogSummary summary;
  for (const bool only_whole : {true, false}) {
    summary = LogSummary{.is_whole = only_whole};
    for (const LoggedDay& day : days) {
      if (only_whole && day.is_incomplete) continue;
      ++summary.days;
      summary.dose += day.dose;
      summary.lit += day.lit;
      summary.peak = std::max(summary.peak, day.peak);
    }
    if (summary.days > 0) break;
  }
  summary.dose = summary.dose / static_cast<double>(summary.days);
  summary.lit = summary.lit / static_cast<double>(summary.days);
  return summary;
}

std::string clock_text(ClockTime time) {
  const auto whole = static_cast<int>(std::lround(time.minute()));
  return fmt::format("{:02}:{:02}", whole / 60, whole % 60);
}

std::string hours_text(Hours hours) { return fmt::format("{:.2f} h", hours.h()); }

}  // namespace

std::string dose_text(const std::string& file, const Date& first_date,
                      const std::vector<LoggedDay>& days, const TextStyle& style) {
  const LogSummary summary = summarize(days);
  const std::string over = summary.days == 1
                               ? "one day"
                               : fmt::format("{} days, dose and hours their mean", summary.days);
  std::string text =
      emphasise(wrap(fmt::format("{}: dose {:.2f} mol m-2 d-1, peak {} umol m-2 s-1, lit {} ({}).",
                                 to_safe_text(file), summary.dose.mol_m2_d(), to_text(summary.peak),
                                 hours_text(summary.lit), over),
                     style),
                style);
  using Align = TextTable::Align;
  TextTable table{{{"day", Align::left},
                   {"dose", Align::right},
                   {"peak", Align::right},
                   {"lit", Align::right},
                   {"logged", Align::left},
                   {"", Align::left}}};
  std::string gaps;
  for (std::size_t i = 0; i < days.size(); ++i) {
    const LoggedDay& day = days[i];
    const std::string date = to_iso(days_after(first_date, i));
    table.add({date, fmt::format("{:.2f}", day.dose.mol_m2_d()), to_text(day.peak),
               hours_text(day.lit), clock_text(day.first) + " to " + clock_text(day.last),
               day.is_incomplete ? "not the whole day" : ""});
    for (const LogGap& gap : day.gaps) {
      gaps += wrap(fmt::format("{} {} to {}{}", date, clock_text(gap.start), clock_text(gap.end),
                               gap.is_dark ? ", dark at both ends: taken for night"
                                           : ", crossed by a straight line"),
                   style, "  - ", "    ");
    }
  }
  text += "\n" + table.to_text(style);
  if (!gaps.empty()) text += "\nGaps of over 10 minutes\n" + gaps;
  if (!summary.is_whole) {
    text += "\n" + wrap("No day was logged whole, so the real dose is higher.", style);
  }
  text += "\n" + wrap(fmt::format("As a group's history in a tank file: \"history\": {{\"dose\": "
                                  "{:.2f}, \"peak\": {:.0f}}}",
                                  summary.dose.mol_m2_d(), summary.peak.umol_m2_s()),
                      style);
  return text;
}

std::string dose_json(const Date& first_date, const std::vector<LoggedDay>& days) {
  const LogSummary summary = summarize(days);
  Json list = Json::array();
  for (std::size_t i = 0; i < days.size(); ++i) {
    const LoggedDay& day = days[i];
    Json gaps = Json::array();
    for (const LogGap& gap : day.gaps) {
      gaps.push_back(
          {{"from", clock_text(gap.start)}, {"to", clock_text(gap.end)}, {"dark", gap.is_dark}});
    }
    list.push_back({{"date", to_iso(days_after(first_date, i))},
                    {"dose", day.dose.mol_m2_d()},
                    {"peak", day.peak.umol_m2_s()},
                    {"lit_hours", day.lit.h()},
                    {"whole", !day.is_incomplete},
                    {"gaps", std::move(gaps)}});
  }
  return print({{"dose", summary.dose.mol_m2_d()},
                {"peak", summary.peak.umol_m2_s()},
                {"lit_hours", summary.lit.h()},
                {"whole_days", summary.is_whole ? summary.days : 0},
                {"days", std::move(list)}});
}

}  // namespace slowdawn
