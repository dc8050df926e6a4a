#include "tank/profile_reader.hpp"

#include <algorithm>
#include <slowdawn/tank/profile_shelf.hpp>

namespace slowdawn {
namespace {

using Keys = std::vector<std::string>;

/// The keys of all figures, those that may be left out last.
const Keys& figure_keys() {
  static const Keys keys = [] {
    Keys made = profile_figure_keys();
    const Keys& optional = optional_profile_figure_keys();
    made.insert(made.end(), optional.begin(), optional.end());
    return made;
  }();
  return keys;
}

const Keys& all_keys() {
  static const Keys keys = [] {
    Keys made{"name", "covers", "notes", "basis"};
    made.insert(made.end(), figure_keys().begin(), figure_keys().end());
    return made;
  }();
  return keys;
}

bool is_in(const Keys& keys, const std::string& key) {
  return std::find(keys.begin(), keys.end(), key) != keys.end();
}

std::string example_of(const std::string& key) {
  if (key == "light_class") return "\"light_class\": \"medium\"";
  if (key == "dose_band") return "\"dose_band\": [2, 13]";
  if (key == "peak_ceiling") return "\"peak_ceiling\": 350";
  if (key == "headroom_percent") return "\"headroom_percent\": 30";
  if (key == "weekly_rise_percent") return "\"weekly_rise_percent\": 15";
  if (key == "tau_up_days") return "\"tau_up_days\": 10";
  if (key == "tau_down_days") return "\"tau_down_days\": 5";
  if (key == "carryover") return "\"carryover\": 0.8";
  if (key == "floor_percent") return "\"floor_percent\": 50";
  return "\"" + key + "\": ...";
}

/// One number of a tolerance: its key, its range, and where it goes.
struct Figure {
  std::string key;
  NumberRange range;
  void (*set)(Tolerance&, double);
};

const std::vector<Figure>& plain_figures() {
  static const std::string share_hint =
      "a share is written from 0 to 1, a percentage under a key that ends in _percent";
  static const std::vector<Figure> figures{
      {"peak_ceiling",
       {1, 3000, "umol m-2 s-1"},
       [](Tolerance& t, double v) { t.peak_ceiling = Ppfd::umol_m2_s(v); }},
      {"headroom_percent",
       {1, 100, "%"},
       [](Tolerance& t, double v) { t.headroom = Percent::of_full(v); }},
      {"weekly_rise_percent",
       {0.1, 100, "%"},
       [](Tolerance& t, double v) { t.weekly_rise = Percent::of_full(v); }},
      {"tau_up_days", {0.5, 365, "days"}, [](Tolerance& t, double v) { t.tau_up = Days::d(v); }},
      {"tau_down_days",
       {0.5, 365, "days"},
       [](Tolerance& t, double v) { t.tau_down = Days::d(v); }},
      {"carryover", {0.05, 1, "", share_hint}, [](Tolerance& t, double v) { t.carryover = v; }},
      {"floor_percent",
       {1, 100, "%"},
       [](Tolerance& t, double v) { t.floor = Percent::of_full(v); }},
  };
  return figures;
}

void read_light_class(JsonReader& reader, const JsonNode& node, Profile& profile) {
  static const std::vector<std::string> names{"low", "medium", "high"};
  if (const auto number = reader.read_name(node, "light class", names)) {
    profile.light_class = static_cast<LightClass>(*number);
  }
}

void read_dose_band(JsonReader& reader, const JsonNode& node, Profile& profile) {
  const auto ends = reader.read_array(node, "two doses");
  if (!ends) return;
  if (ends->size() != 2) {
    reader.error(node, "a dose band is the lowest and the highest dose, two numbers",
                 "for example " + example_of("dose_band"));
    return;
  }
  const NumberRange range{0.01, 100, "mol m-2 d-1"};
  const auto low = reader.read_number((*ends)[0], range);
  const auto high = reader.read_number((*ends)[1], range);
  if (!low || !high) return;
  if (*low >= *high) {
    reader.error(node, "the band's low end is not under its high end",
                 "write the lower dose first, for example " + example_of("dose_band"));
    return;
  }
  profile.tolerance.dose_band = {DailyDose::mol_m2_d(*low), DailyDose::mol_m2_d(*high)};
}

/// Ek and the cap on it: each over what `profile` has of them.
void read_excitation(JsonReader& reader, const JsonNode& node, Profile& profile) {
  const auto ek_node = node.find("ek");
  const auto cap_node = node.find("excitation_cap");
  if (!ek_node && !cap_node) return;
  std::optional<Excitation>& known = profile.tolerance.excitation;
  std::optional<double> ek;
  std::optional<double> cap;
  if (known) {
    ek = known->ek().umol_m2_s();
    cap = known->cap();
  }
  if (ek_node) ek = reader.read_number(*ek_node, {10, 2000, "umol m-2 s-1"});
  if (cap_node) {
    cap = reader.read_number(*cap_node, {0.05, 0.95, "",
                                         "it caps 1 - tanh(x)/x with x = peak / Ek, for instance "
                                         "at 0.4; leave it out for no cap"});
    if (!ek_node && !known) {
      reader.error(*cap_node, "\"excitation_cap\" needs an \"ek\"",
                   "add the PPFD at which its photosynthesis saturates, for example \"ek\": 400, "
                   "or leave the cap out");
    }
  }
  if (ek) known = Excitation{Ppfd::umol_m2_s(*ek), cap};
}

/// profile_node: the profile that the basis is of.
void read_basis(JsonReader& reader, const JsonNode& node, const JsonNode& profile_node,
                bool is_whole, Profile& profile) {
  if (!reader.expect_object(node, "the basis of the figures", figure_keys())) return;
  for (const auto& [key, value] : node.members()) {
    if (const auto text = reader.read_text(value, "the basis of a figure")) {
      profile.basis[key] = *text;
    }
  }
  if (!is_whole) return;
  for (const std::string& key : figure_keys()) {
    const bool is_there = profile_node.find(key) || is_in(profile_figure_keys(), key);
    if (!is_there || node.find(key)) continue;
    reader.error(node, "\"" + key + "\" has no basis",
                 "say what the figure rests on: a source, or \"common practice, no source\"");
  }
}

}  // namespace

void read_profile(JsonReader& reader, const JsonNode& node, ProfileForm form, Profile& profile) {
  const bool is_file = form == ProfileForm::file;
  const std::string what = form == ProfileForm::over_another ? "an override" : "a profile";
  reader.expect_object(node, what, all_keys());
  if (!node.is(JsonValue::Kind::object)) return;

  for (const std::string& key : all_keys()) {
    if (node.find(key) || is_in(optional_profile_figure_keys(), key)) continue;
    const bool is_number = key != "light_class" && is_in(profile_figure_keys(), key);
    if (is_file || (form == ProfileForm::in_place && is_number)) {
      reader.error(node, "\"" + key + "\" is missing in the profile",
                   "for example " + example_of(key));
    }
  }
  if (const auto name = node.find("name")) {
    if (const auto text = reader.read_text(*name, "the profile's name")) profile.name = *text;
  }
  if (const auto covers = node.find("covers")) {
    if (auto texts = reader.read_texts(*covers, "the taxa")) profile.covers = std::move(*texts);
  }
  if (const auto notes = node.find("notes")) {
    if (auto texts = reader.read_texts(*notes, "the notes")) profile.notes = std::move(*texts);
  }
  if (const auto light_class = node.find("light_class")) {
    read_light_class(reader, *light_class, profile);
  }
  if (const auto band = node.find("dose_band")) read_dose_band(reader, *band, profile);
  for (const Figure& figure : plain_figures()) {
    const auto found = node.find(figure.key);
    if (!found) continue;
    if (const auto value = reader.read_number(*found, figure.range)) {
      figure.set(profile.tolerance, *value);
    }
  }
  read_excitation(reader, node, profile);
  if (!is_file) {
    // What the overridden figure rested on is not what this one rests on.
    for (const std::string& key : figure_keys()) {
      if (node.find(key)) profile.basis[key] = "given in the tank file, without a basis";
    }
  }
  if (const auto basis = node.find("basis")) read_basis(reader, *basis, node, is_file, profile);
}

}  // namespace slowdawn
