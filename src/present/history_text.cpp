#include <fmt/format.h>

#include <slowdawn/present/csv.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

namespace slowdawn {
namespace {

std::string summary_of(const FollowEntry& entry) {
  return (entry.even ? "follows the even ramp that begins on "
                     : "follows the plan that begins on ") +
         to_iso(entry.start) + (entry.afresh ? ", afresh" : "");
}

std::string summary_of(const CheckInEntry& entry) {
  const CheckIn& seen = entry.seen;
  std::string text = entry.group + ":";
  if (seen.colour) text += fmt::format(" colour {:+d},", *seen.colour);
  if (seen.card) text += fmt::format(" card {},", *seen.card);
  if (seen.extension == Extension::less) text += " less extension,";
  if (seen.extension == Extension::more) text += " more extension,";
  if (seen.mucus) text += " mucus,";
  if (seen.tissue == Tissue::white_patches) text += " white patches,";
  if (seen.tissue == Tissue::lost) text += " tissue lost,";
  if (seen.fv_fm) text += fmt::format(" Fv/Fm {},", *seen.fv_fm);
  if (entry.restart) text += " restarted,";
  if (text.back() == ':') text += " as usual,";
  text.pop_back();
  if (!entry.note.empty()) text += "; " + entry.note;
  if (!entry.photo.empty()) text += " [" + entry.photo + "]";
  return text;
}

std::string summary_of(const DialedEntry& entry) {
  std::string text;
  for (const auto& [light, dial] : entry.dials) {
    text += (text.empty() ? "" : ", ") + light + " " + to_text(dial);
  }
  return entry.until ? text + " until " + to_iso(*entry.until) : text;
}

std::string summary_of(const MovedEntry& entry) {
  std::string text = entry.group + " to " + entry.spot;
  if (entry.mesh && *entry.mesh == 1.0) text += ", without its mesh";
  if (entry.mesh && *entry.mesh < 1.0) {
    text += fmt::format(", under a mesh of {:.0f} %", 100.0 * *entry.mesh);
  }
  return text;
}

std::string summary_of(const GoneEntry& entry) { return entry.group + " is gone"; }

std::string summary_of(const UndoEntry& entry) {
  if (entry.through) {
    return fmt::format("takes back entries {} to {}", entry.seq, *entry.through);
  }
  return "takes back entry " + std::to_string(entry.seq);
}

std::string summary_of(const Entry& entry) {
  return std::visit([](const auto& body) { return summary_of(body); }, *entry.body);
}

}  // namespace

std::string history_text(const std::vector<Entry>& entries, const TextStyle& style) {
  std::string text;
  for (const Entry& entry : entries) {
    const std::string head =
        fmt::format("{:>5}  {}  {:<8}", entry.seq, to_iso(entry.date), kind_of(*entry.body));
    text += wrap(to_safe_text(summary_of(entry)) + (entry.undone ? " (taken back)" : ""), style,
                 head + " ", std::string(28, ' '));
  }
  return text;
}

namespace {

/// What check-ins and moves say, each in its own cell; empty for other entries.
struct LookCells {
  std::string group, spot, mesh, colour, card, extension, mucus, tissue, fv_fm, note, photo;
};

LookCells look_cells(const CheckInEntry& entry) {
  static const char* const extensions[] = {"less", "usual", "more"};
  static const char* const tissues[] = {"whole", "white_patches", "lost"};
  const CheckIn& seen = entry.seen;
  LookCells cells;
  cells.group = entry.group;
  if (seen.colour) cells.colour = std::to_string(*seen.colour);
  if (seen.card) cells.card = std::to_string(*seen.card);
  cells.extension = extensions[static_cast<int>(seen.extension)];
  cells.mucus = csv_flag_cell(seen.mucus);
  cells.tissue = tissues[static_cast<int>(seen.tissue)];
  if (seen.fv_fm) cells.fv_fm = csv_number_cell(*seen.fv_fm);
  cells.note = entry.note;
  cells.photo = entry.photo;
  return cells;
}

LookCells look_cells(const MovedEntry& entry) {
  LookCells cells;
  cells.group = entry.group;
  cells.spot = entry.spot;
  if (entry.mesh) cells.mesh = csv_number_cell(*entry.mesh);
  return cells;
}

LookCells look_cells(const GoneEntry& entry) {
  LookCells cells;
  cells.group = entry.group;
  return cells;
}

template <class Other>
LookCells look_cells(const Other&) {
  return {};
}

}  // namespace

std::string history_csv(const std::vector<Entry>& entries) {
  std::string csv = csv_record({"seq", "date", "made", "kind", "undone", "group", "spot",
                                "shade_transmission", "colour_steps", "card_score", "extension",
                                "mucus", "tissue", "fv_fm", "note", "photo", "what"});
  for (const Entry& entry : entries) {
    const LookCells cells =
        std::visit([](const auto& body) { return look_cells(body); }, *entry.body);
    csv += csv_record({std::to_string(entry.seq), to_iso(entry.date), to_iso(entry.made),
                       kind_of(*entry.body), csv_flag_cell(entry.undone),
                       csv_text_cell(cells.group), csv_text_cell(cells.spot), cells.mesh,
                       cells.colour, cells.card, cells.extension, cells.mucus, cells.tissue,
                       cells.fv_fm, csv_text_cell(cells.note), csv_text_cell(cells.photo),
                       csv_text_cell(summary_of(entry))});
  }
  return csv;
}

namespace {

/// What an answer adds: the change, what is waited for, the record of a past day.
std::vector<std::string> answer_sentences(const PlannedRamp& ramp, const AddedView& view) {
  std::vector<std::string> sentences;
  if (ramp.change != nullptr && view.plan_changed) sentences.push_back(change_text(ramp));
  sentences.push_back(accident_text(ramp));
  for (std::string& wait : wait_texts(ramp)) sentences.push_back(std::move(wait));
  if (view.today.phase == TodayView::Phase::in_plan && !ramp.plan.days.empty() &&
      find_next_change(ramp.plan, view.today.day)) {
    sentences.push_back(next_step_text(ramp, view.today.day));
  }
  if (view.date < view.today.date && view.kind == "checkin") {
    sentences.push_back(record_text(ramp, view.date));
  }
  sentences.push_back(ramp.clock_notice.empty() ? "" : "Mind: " + ramp.clock_notice + ".");
  return sentences;
}

}  // namespace

std::string added_text(const PlannedRamp& ramp, const AddedView& view, const TextStyle& style) {
  std::string text;
  std::vector<const ReplayEvent*> events;
  for (const std::size_t number : view.events) events.push_back(&ramp.followed->events[number]);
  for (const std::string& event : event_texts(ramp, events)) text += wrap(event, style);
  if (view.today.phase == TodayView::Phase::before_start) {
    return text + wrap(fmt::format("Written. The ramp begins on {} with {}.", to_iso(ramp.start),
                                   dials_text(ramp.tank, ramp.dials(0))),
                       style);
  }
  text += view.plan_changed ? "Written; the plan has changed.\n" : "Written; the plan stays.\n";
  text += wrap(fmt::format("Dial in on {}: {}", to_iso(view.today.date),
                           dials_text(ramp.tank, ramp.dials(view.today.day))),
               style);
  for (const std::string& sentence : answer_sentences(ramp, view)) {
    if (!sentence.empty()) text += wrap(sentence, style);
  }
  if (view.ways.empty()) return text;
  text += "\nTo spare the others:\n";
  for (const Way& way : view.ways) {
    text += wrap(way_text(ramp, way), style, "  - ", "    ");
    text += "      " + way_command(ramp, way) + "\n";
  }
  return text;
}

}  // namespace slowdawn
