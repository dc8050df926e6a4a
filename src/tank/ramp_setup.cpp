#include <algorithm>
#include <slowdawn/tank/ramp_setup.hpp>

namespace slowdawn {
namespace {

/// So many columns of weighted light are made without asking who needs them.
constexpr std::size_t most_dense_columns = 4096;

class SetupMaker {
 public:
  SetupMaker(const Tank& tank, std::span<const Seat> more_seats,
             std::span<const LightWeights> known_weights)
      : tank_(tank), more_seats_(more_seats), known_weights_(known_weights) {}

  RampSetup make() {
    setup_.problem.lights_change = tank_.ramp.lights_change();
    setup_.problem.every_days = tank_.ramp.every_days;
    setup_.problem.is_relative = tank_.meter.is_relative;
    make_lights();
    for (const Group& group : tank_.groups) {
      setup_.problem.groups.push_back(make_group(group));
    }
    for (const Seat& seat : more_seats_) number_of(seat);
    number_columns();
    fill_exposures();
    for (const Seat& seat : setup_.seats) {
      setup_.problem.readings.push_back({seat.spot, tank_.reading_error(seat.spot, tank_.ramp.to),
                                         tank_.meter.accuracy.repeat.fraction()});
    }
    return std::move(setup_);
  }

 private:
  void make_lights() {
    for (const auto& [light, goal] : tank_.ramp.to) setup_.path_lights.push_back(light);
    setup_.problem.path = make_path(list_path_lights(tank_));
  }

  /// Groups that share a seat share a column of the table.
  std::size_t number_of(const Seat& seat) {
    const auto [number, is_new] =
        numbers_.try_emplace({seat.spot, seat.transmission}, setup_.seats.size());
    if (is_new) setup_.seats.push_back(seat);
    return number->second;
  }

  RampGroup make_group(const Group& group) {
    Tolerance tolerance = at_pace(group.profile.tolerance, tank_.ramp.pace);
    if (tank_.meter.is_relative) {
      tolerance.dose_band = {DailyDose{}, DailyDose::mol_m2_d(no_limit)};
      tolerance.peak_ceiling = Ppfd::umol_m2_s(no_limit);
      tolerance.excitation.reset();
    }
    GroupStart began = compute_group_start(tank_, group, tolerance);
    RampGroup made{group.name, number_of(start_of(group)), began.before, began.used_to, tolerance};
    made.wish = wish_of(group);
    made.doubt = began.doubt;
    const std::size_t number = setup_.starts.size();
    const bool is_known = number < known_weights_.size() && !known_weights_[number].empty();
    if (is_known) began.weights = known_weights_[number];
    made.weighting = weighting_of(began.weights);
    setup_.starts.push_back(std::move(began));
    return made;
  }

  /// 0 where every light of the path weighs 1.
  std::size_t weighting_of(const LightWeights& weights) {
    const bool is_plain = std::all_of(
        setup_.path_lights.begin(), setup_.path_lights.end(),
        [&](std::size_t light) { return weights[light] == 1.0 || weights[light] == 0.0; });
    if (is_plain) return 0;
    const auto [number, is_new] =
        weighting_numbers_.try_emplace(weights, setup_.weightings.size() + 1);
    if (is_new) setup_.weightings.push_back(weights);
    return number->second;
  }

  /// Of a few groups every one may come to every seat; a farm has too many for that.
  void number_columns() {
    const std::size_t seats = setup_.seats.size();
    std::size_t columns = seats;
    auto& weightings = setup_.problem.weightings;
    weightings.assign(setup_.weightings.size(), WeightedColumns(seats, no_column));
    const auto add = [&](WeightedColumns& known, std::size_t seat) {
      if (known[seat] == no_column) known[seat] = columns++;
    };
    const bool is_dense = seats * weightings.size() <= most_dense_columns;
    for (WeightedColumns& known : weightings) {
      for (std::size_t seat = 0; seat < seats && is_dense; ++seat) add(known, seat);
      for (const Seat& seat : more_seats_) add(known, number_of(seat));
    }
    for (const RampGroup& group : setup_.problem.groups) {
      if (group.weighting == 0) continue;
      WeightedColumns& known = weightings[group.weighting - 1];
      add(known, group.spot);
      if (!group.wish) continue;
      add(known, group.wish->to);
      for (const std::size_t stop : group.wish->via) add(known, stop);
    }
  }

  static Seat start_of(const Group& group) {
    return {group.spot_of_start(), group.shades.empty() ? 1.0 : group.shades.front()};
  }

  /// A mesh that comes off, a move that is to be planned, or both: then the mesh
  /// may go along, or be left first.
  std::optional<MoveWish> wish_of(const Group& group) {
    const Seat start = start_of(group);
    const Seat end{group.spot_of_ramp()};
    if (start == end) return std::nullopt;
    std::vector<Seat> between;
    for (std::size_t spot = 0; spot < tank_.spots.size(); ++spot) {
      const bool is_named = std::find(group.via.begin(), group.via.end(), spot) != group.via.end();
      if ((is_named || group.via_any) && is_known(spot)) between.push_back({spot});
    }
    for (const double shade : group.shades) {
      if (shade != start.transmission) between.push_back({start.spot, shade});
      if (start.spot != end.spot) between.push_back({end.spot, shade});
    }
    if (!group.shades.empty() && start.spot != end.spot) between.push_back({start.spot});
    MoveWish wish{.to = number_of(end)};
    wish.min_stay_days = static_cast<std::size_t>(group.min_stay_days);
    const std::vector<Seat> stops = in_order_of_light(start, std::move(between), end);
    for (const Seat& seat : stops) wish.via.push_back(number_of(seat));
    return wish;
  }

  /// Whether every light of the goal was read or estimated there.
  bool is_known(std::size_t spot) const {
    return std::all_of(tank_.ramp.to.begin(), tank_.ramp.to.end(), [&](const auto& entry) {
      return tank_.full_output[spot][entry.first].has_value();
    });
  }

  /// Those whose dose at the goal lies between that of two others, in order from
  /// the first to the second.
  std::vector<Seat> in_order_of_light(const Seat& start, std::vector<Seat> seats, const Seat& end) {
    const auto dose = [&](const Seat& seat) {
      return seat.transmission * open_dose_at_goal(seat.spot);
    };
    const bool goes_up = dose(start) < dose(end);
    const DailyDose low = std::min(dose(start), dose(end));
    const DailyDose high = std::max(dose(start), dose(end));
    std::erase_if(seats, [&](const Seat& seat) { return dose(seat) <= low || dose(seat) >= high; });
    std::stable_sort(seats.begin(), seats.end(), [&](const Seat& a, const Seat& b) {
      return goes_up ? dose(a) < dose(b) : dose(a) > dose(b);
    });
    // A seat that was named twice is one stop.
    seats.erase(std::unique(seats.begin(), seats.end()), seats.end());
    return seats;
  }

  DailyDose open_dose_at_goal(std::size_t spot) {
    const auto [dose, is_new] = doses_at_goal_.try_emplace(spot);
    if (is_new) dose->second = tank_.usable_exposure(spot, tank_.ramp.to).dose;
    return dose->second;
  }

  void fill_exposures() {
    const ColumnLight light{tank_, setup_};
    const std::vector<Setting>& settings = setup_.problem.path.settings;
    for (std::size_t i = 0; i < settings.size(); ++i) {
      const std::vector<Exposure> there = light.under(settings[i]);
      if (i == 0) setup_.problem.exposures = ExposureTable{settings.size(), there.size()};
      for (std::size_t number = 0; number < there.size(); ++number) {
        setup_.problem.exposures.at(i, number) = there[number];
      }
    }
  }

  const Tank& tank_;
  std::span<const Seat> more_seats_;
  std::span<const LightWeights> known_weights_;
  RampSetup setup_;
  std::map<LightWeights, std::size_t> weighting_numbers_;
  std::map<std::pair<std::size_t, double>, std::size_t> numbers_;
  /// By spot, of those that were asked for.
  std::map<std::size_t, DailyDose> doses_at_goal_;
};

}  // namespace

std::optional<std::size_t> RampSetup::find_seat(const Seat& seat) const {
  const auto found = std::find(seats.begin(), seats.end(), seat);
  if (found == seats.end()) return std::nullopt;
  return static_cast<std::size_t>(found - seats.begin());
}

namespace {

Exposure under_mesh(const Seat& seat, const Exposure& open) {
  return {seat.transmission * open.dose, seat.transmission * open.peak};
}

}  // namespace

Exposure measured_exposure(const Tank& tank, const Seat& seat,
                           const std::map<std::size_t, Percent>& dials) {
  return under_mesh(seat, tank.exposure(seat.spot, dials));
}

GroupLight group_light(const Tank& tank, const Seat& seat, const LightWeights& weights,
                       const std::map<std::size_t, Percent>& dials) {
  return {under_mesh(seat, tank.usable_exposure(seat.spot, dials)),
          under_mesh(seat, tank.effective_exposure(seat.spot, dials, weights))};
}

std::vector<PathLight> list_path_lights(const Tank& tank) {
  std::vector<PathLight> lights;
  for (const auto& [light, goal] : tank.ramp.to) {
    const auto from = tank.ramp.from.find(light);
    const Percent base = from == tank.ramp.from.end() ? Percent{} : from->second;
    lights.push_back({base, goal, tank.lights[light].dial});
  }
  return lights;
}

ColumnLight::ColumnLight(const Tank& tank, const RampSetup& setup) {
  for (const std::size_t light : setup.path_lights) courses_.push_back(tank.lights[light].course);
  for (const Seat& seat : setup.seats) {
    std::vector<Ppfd> outputs;
    for (const std::size_t light : setup.path_lights) {
      const auto& output = tank.full_output[seat.spot][light];
      const double share = seat.transmission * tank.lights[light].usable_weight;
      outputs.push_back(share * output.value_or(FullOutput{}).ppfd);
    }
    full_outputs_.push_back(std::move(outputs));
  }
  for (std::size_t number = 0; number < setup.weightings.size(); ++number) {
    const WeightedColumns& columns = setup.problem.weightings[number];
    for (std::size_t seat = 0; seat < columns.size(); ++seat) {
      if (columns[seat] == no_column) continue;
      std::vector<Ppfd> outputs = full_outputs_[seat];
      for (std::size_t j = 0; j < outputs.size(); ++j) {
        const double weight = setup.weightings[number][setup.path_lights[j]];
        if (weight > 0.0) outputs[j] = weight * outputs[j];
      }
      full_outputs_.resize(std::max(full_outputs_.size(), columns[seat] + 1));
      full_outputs_[columns[seat]] = std::move(outputs);
    }
  }
}

std::vector<Exposure> ColumnLight::under(const Setting& setting) const {
  const LitDay day{courses_, setting};
  std::vector<Exposure> exposures;
  exposures.reserve(full_outputs_.size());
  for (const std::vector<Ppfd>& outputs : full_outputs_) exposures.push_back(day.at(outputs));
  return exposures;
}

RampSetup make_ramp_setup(const Tank& tank, std::span<const Seat> more_seats,
                          std::span<const LightWeights> known_weights) {
  return SetupMaker{tank, more_seats, known_weights}.make();
}

}  // namespace slowdawn
