#include <fmt/format.h>

#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

#include "present/profile_figures.hpp"

namespace slowdawn {
namespace {

std::string class_text(LightClass light_class) {
  switch (light_class) {
    case LightClass::low: return "low";
    case LightClass::medium: return "medium";
    case LightClass::high: return "high";
  }
  return "";
}

}  // namespace

std::string figure_text(const std::string& key, const Profile& profile) {
  const Tolerance& t = profile.tolerance;
  if (key == "light_class") return class_text(profile.light_class);
  if (key == "dose_band") return band_text(t.dose_band) + " mol m-2 d-1";
  if (key == "peak_ceiling") return to_text(t.peak_ceiling) + " umol m-2 s-1";
  if (key == "headroom_percent") return to_text(t.headroom);
  if (key == "weekly_rise_percent") return to_text(t.weekly_rise);
  if (key == "tau_up_days") return fmt::format("{} days", t.tau_up.d());
  if (key == "tau_down_days") return fmt::format("{} days", t.tau_down.d());
  if (key == "carryover") return fmt::format("{}", t.carryover);
  if (key == "floor_percent") return to_text(t.floor);
  if (!t.excitation) return "";
  if (key == "ek") return to_text(t.excitation->ek()) + " umol m-2 s-1";
  if (key == "excitation_cap" && t.excitation->cap()) {
    return fmt::format("{}", *t.excitation->cap());
  }
  return "";
}

std::string profile_list_text(const ProfileShelf& shelf, const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"profile", Align::left},
                   {"class", Align::left},
                   {"dose band", Align::right},
                   {"ceiling", Align::right},
                   {"headroom", Align::right},
                   {"a week", Align::right},
                   {"tau up", Align::right}}};
  for (const std::string& name : shelf.names()) {
    const Profile profile = shelf.find(name).value();
    const Tolerance& t = profile.tolerance;
    table.add({to_safe_text(name), class_text(profile.light_class), band_text(t.dose_band),
               to_text(t.peak_ceiling), to_text(t.headroom), to_text(t.weekly_rise),
               fmt::format("{} d", t.tau_up.d())});
  }
  return table.to_text(style) +
         "\nBand in mol m-2 d-1, ceiling in umol m-2 s-1. What a figure rests on:\n"
         "slowdawn profiles NAME\n";
}

std::string profile_text(const Profile& profile, const TextStyle& style) {
  std::string covers;
  for (const std::string& taxon : profile.covers) {
    covers += (covers.empty() ? "" : ", ") + to_safe_text(taxon);
  }
  std::string text = emphasise(to_safe_text(profile.name), style) + "\n" +
                     wrap(covers, style, "  covers ", "         ") + "\n";
  std::vector<std::string> keys = profile_figure_keys();
  for (const std::string& key : optional_profile_figure_keys()) {
    if (!figure_text(key, profile).empty()) keys.push_back(key);
  }
  for (const std::string& key : keys) {
    text += "  " + fit_left(key, 22) + figure_text(key, profile) + "\n";
    if (const auto basis = profile.basis.find(key); basis != profile.basis.end()) {
      text += wrap(to_safe_text(basis->second), style, "      ", "      ");
    }
  }
  text += "\n";
  for (const std::string& note : profile.notes) {
    text += wrap(to_safe_text(note), style, "  - ", "    ");
  }
  return text;
}

}  // namespace slowdawn
