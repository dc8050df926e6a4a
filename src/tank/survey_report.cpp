#include <algorithm>
#include <cmath>
#include <numeric>
#include <slowdawn/tank/survey_report.hpp>

#include "tank/json_reader.hpp"
#include "tank/reading_check.hpp"
#include "tank/spectrum_reader.hpp"

namespace slowdawn {
namespace {

/// Spots that are told of by name in one warning.
constexpr std::size_t most_names = 4;

std::string percent_text(double share) {
  return std::to_string(static_cast<int>(std::lround(100.0 * share))) + " %";
}

LightSpread spread_of(const std::vector<Ppfd>& ppfd) {
  const auto count = static_cast<double>(ppfd.size());
  const auto [lowest, highest] = std::minmax_element(ppfd.begin(), ppfd.end());
  const Ppfd mean = std::accumulate(ppfd.begin(), ppfd.end(), Ppfd{}) / count;
  LightSpread spread{ppfd.size(), *lowest, mean, *highest, *lowest / mean, {}};
  if (ppfd.size() > 1) {
    double squares = 0.0;
    for (const Ppfd value : ppfd) squares += std::pow((value - mean) / mean, 2.0);
    spread.coefficient_of_variation = std::sqrt(squares / (count - 1.0));
  }
  return spread;
}

std::optional<LightSpread> spread_under(const Tank& tank,
                                        const std::map<std::size_t, Percent>& dials) {
  std::vector<Ppfd> known;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    if (const auto ppfd = steady_ppfd(tank, spot, dials)) known.push_back(*ppfd);
  }
  const bool is_dark =
      std::all_of(known.begin(), known.end(), [](const Ppfd ppfd) { return ppfd == Ppfd{}; });
  if (is_dark) return std::nullopt;
  return spread_of(known);
}

class Reporter {
 public:
  Reporter(const Tank& tank, const Date& today) : tank_(tank), today_(today) {}

  SurveyReport make() {
    for (std::size_t i = 0; i < tank_.surveys.size(); ++i) summarize(i);
    report_.before = spread_under(tank_, tank_.ramp.from);
    report_.goal = spread_under(tank_, tank_.ramp.to);
    list_changes();
    warn_of_single_dials();
    warn_of_mixed_lights();
    warn_of_spectra();
    for (std::size_t light = 0; light < tank_.lights.size(); ++light) try_map(light);
    report_.read_next = find_spot_to_read(tank_);
    list_known();
    report_.take_next = find_reading_to_take(tank_);
    return std::move(report_);
  }

 private:
  std::string survey_name(std::size_t i) const {
    const auto& taken = tank_.surveys[i].taken;
    return "survey " + std::to_string(i + 1) + (taken ? " of " + to_iso(*taken) : "");
  }

  void warn(std::string text) { report_.warnings.push_back(std::move(text)); }

  /// "crest (18 %), sand (22 %) and 3 more": the worst first.
  static std::string list_spots(std::vector<std::pair<double, std::string>> spots) {
    std::stable_sort(spots.begin(), spots.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    std::string text;
    for (std::size_t i = 0; i < std::min(spots.size(), most_names); ++i) {
      if (i > 0) text += ", ";
      text += spots[i].second + " (" + percent_text(spots[i].first) + ")";
    }
    if (spots.size() > most_names) {
      text += " and " + std::to_string(spots.size() - most_names) + " more";
    }
    return text;
  }

  void summarize(std::size_t i) {
    const Survey& survey = tank_.surveys[i];
    std::vector<Ppfd> ppfd;
    std::vector<std::pair<double, std::string>> scattered;
    std::vector<std::pair<double, std::string>> misfits;
    for (const auto& [spot, repeats] : survey.readings) {
      const SpotReading reading = to_spot_reading(tank_, survey, repeats);
      ppfd.push_back(reading.ppfd);
      const std::string& name = tank_.spots[spot].name;
      const auto [lowest, highest] = std::minmax_element(repeats.begin(), repeats.end());
      const double mean = std::accumulate(repeats.begin(), repeats.end(), 0.0) /
                          static_cast<double>(repeats.size());
      const double scatter = mean > 0.0 ? (*highest - *lowest) / mean : 0.0;
      if (exceeds(scatter, scatter_worth_a_warning)) scattered.emplace_back(scatter, name);
      const auto misfit = misfit_of(spot, reading);
      if (misfit && exceeds(*misfit, misfit_worth_a_warning)) misfits.emplace_back(*misfit, name);
    }
    if (!scattered.empty()) {
      warn("In " + survey_name(i) + " the repeats scatter by over 15 % at " +
           list_spots(std::move(scattered)) +
           ". Pumps off, sensor level and still; read them once more.");
    }
    if (!misfits.empty()) {
      warn("In " + survey_name(i) +
           " the reading is over 20 % off what the other readings of the "
           "spot say at " +
           list_spots(std::move(misfits)) +
           ". Was a dial another one, or the sensor not at the same place?");
    }
    if (survey.taken && (today_ - *survey.taken).days() > age_worth_a_warning) {
      warn("The readings of " + survey_name(i) +
           " are older than a year. Lights dim and get dirty; read again.");
    }
    if (!ppfd.empty() && *std::max_element(ppfd.begin(), ppfd.end()) > Ppfd{}) {
      report_.surveys.push_back({survey.taken, lit_dials(survey), spread_of(ppfd)});
    }
  }

  void list_known() {
    report_.known = list_known_lights(tank_);
    const auto how_bad = [](const KnownLight& light) {
      if (light.is_in_combination_only) return std::pair{3, 0.0};
      if (light.is_held_at_zero) return std::pair{2, 0.0};
      return light.error ? std::pair{0, *light.error} : std::pair{1, 0.0};
    };
    std::stable_sort(
        report_.known.begin(), report_.known.end(),
        [&](const KnownLight& a, const KnownLight& b) { return how_bad(a) > how_bad(b); });
  }

  static std::map<std::size_t, Percent> lit_dials(const Survey& survey) {
    std::map<std::size_t, Percent> dials;
    for (std::size_t j = 0; j < survey.dials.size(); ++j) {
      if (survey.dials[j].percent() > 0.0) dials[j] = survey.dials[j];
    }
    return dials;
  }

  /// How far a reading is from what the full outputs give; empty where one of
  /// its lights has none.
  std::optional<double> misfit_of(std::size_t spot, const SpotReading& reading) const {
    Ppfd fitted;
    for (std::size_t j = 0; j < reading.outputs.size(); ++j) {
      if (reading.outputs[j] == 0.0) continue;
      const auto& output = tank_.full_output[spot][j];
      if (!output) return std::nullopt;
      fitted += reading.outputs[j] * output->ppfd;
    }
    if (reading.ppfd == Ppfd{}) return std::nullopt;
    return std::abs((reading.ppfd - fitted) / reading.ppfd);
  }

  void list_changes() {
    for (std::size_t spot = 0; spot < tank_.spots.size(); ++spot) {
      const auto before = steady_ppfd(tank_, spot, tank_.ramp.from);
      const auto after = steady_ppfd(tank_, spot, tank_.ramp.to);
      if (!before || !after || *before == Ppfd{} || *after == Ppfd{}) continue;
      const bool is_estimated =
          tank_.is_estimated(spot, tank_.ramp.from) || tank_.is_estimated(spot, tank_.ramp.to);
      report_.changes.push_back({spot, *before, *after, is_estimated});
    }
    std::stable_sort(report_.changes.begin(), report_.changes.end(),
                     [](const SpotChange& a, const SpotChange& b) {
                       return std::abs(std::log(a.ratio())) > std::abs(std::log(b.ratio()));
                     });
  }

  void warn_of_single_dials() {
    for (const auto& [light, goal] : tank_.ramp.to) {
      // A cloth is a share of light, with no curve of its own.
      if (goal.percent() == 0.0 || tank_.lights[light].sun) continue;
      std::vector<double> dials;
      for (const Survey& survey : tank_.surveys) {
        if (survey.dials[light].percent() > 0.0) dials.push_back(survey.dials[light].percent());
      }
      std::sort(dials.begin(), dials.end());
      if (dials.empty() || dials.front() != dials.back()) continue;
      const double reach = goal.percent() / dials.front();
      if (!exceeds(std::max(reach, 1.0 / reach), dial_reach)) continue;
      warn("\"" + tank_.lights[light].name + "\" was read at " + number_text(dials.front()) +
           " % alone, and the goal is " + number_text(goal.percent()) +
           (tank_.lights[light].course.dimming.is_linear()
                ? " %. Few lights give half at 50 %: read once near the goal, or measure "
                  "\"dimming\"."
                : " %. What it gives there rests on its \"dimming\" alone: read once near the "
                  "goal."));
    }
  }

  void warn_of_mixed_lights() {
    std::vector<std::string> mixed;
    for (std::size_t spot = 0; spot < tank_.spots.size(); ++spot) {
      const FullOutputFit& fit = tank_.fits[spot];
      if (fit.inseparable.empty() && fit.separation < separation_worth_a_warning) {
        mixed.push_back(tank_.spots[spot].name);
      }
    }
    if (mixed.empty()) return;
    std::string names;
    for (std::size_t i = 0; i < std::min(mixed.size(), most_names); ++i) {
      names += (i > 0 ? ", " : "") + mixed[i];
    }
    if (mixed.size() > most_names) {
      names += " and " + std::to_string(mixed.size() - most_names) + " more";
    }
    warn("The lights were lit in nearly the same proportions in all surveys of " + names +
         ", so what each of them gives there is little more than a guess. Read once with one of "
         "them alone.");
  }

  void warn_of_spectra() {
    for (std::size_t light = 0; light < tank_.lights.size(); ++light) {
      for (const Fault& doubt : spectral_doubts(tank_, light)) {
        warn("As to spectra: " + doubt.what + "; " + doubt.hint + ".");
      }
    }
  }

  void try_map(std::size_t light) {
    const std::vector<std::size_t> spots = mapped_spots(tank_, light);
    const auto map = fit_light_map(tank_, light);
    if (!map) return;
    MapTrial trial{light, spots.size(), 0.0, spots.front(), 0.0};
    const std::vector<LightEstimate> foretold = map->leave_one_out();
    for (std::size_t i = 0; i < spots.size(); ++i) {
      const double error = foretold[i].ppfd / tank_.full_output[spots[i]][light]->ppfd - 1.0;
      trial.leave_one_out += error * error / static_cast<double>(spots.size());
      if (std::abs(error) <= std::abs(trial.worst_error)) continue;
      trial.worst_spot = spots[i];
      trial.worst_error = error;
    }
    trial.leave_one_out = std::sqrt(trial.leave_one_out);
    report_.maps.push_back(trial);
  }

  const Tank& tank_;
  Date today_;
  SurveyReport report_;
};

}  // namespace

std::optional<Ppfd> steady_ppfd(const Tank& tank, std::size_t spot,
                                const std::map<std::size_t, Percent>& dials) {
  Ppfd ppfd;
  for (const auto& [light, dial] : dials) {
    if (dial.percent() == 0.0) continue;
    const auto& output = tank.full_output[spot][light];
    if (!output) return std::nullopt;
    ppfd += tank.lights[light].course.dimming.output(dial) * output->ppfd;
  }
  return ppfd;
}

SurveyReport report_survey(const Tank& tank, const Date& today) {
  return Reporter{tank, today}.make();
}

}  // namespace slowdawn
