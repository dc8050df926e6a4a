#include <algorithm>
#include <slowdawn/tank/ramp_setup.hpp>

#include "tank/group_start.hpp"

namespace slowdawn {
namespace {

class SetupMaker {
 public:
  SetupMaker(const Tank& tank, std::span<const Seat> more_seats)
      : tank_(tank), more_seats_(more_seats) {}

  RampSetup make() {
    setup_.problem.lights_change = tank_.ramp.lights_change();
    setup_.problem.every_days = tank_.ramp.every_days;
    setup_.problem.is_relative = tank_.meter.is_relative;
    make_lights();
    for (const Group& group : tank_.groups) {
      setup_.problem.groups.push_back(make_group(group));
    }
    for (const Seat& seat : more_seats_) number_of(seat);
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
    const GroupStart began = compute_group_start(tank_, group, tolerance);
    RampGroup made{group.name, number_of(start_of(group)), began.before, began.used_to, tolerance};
    made.wish = wish_of(group);
    made.doubt = began.doubt;
    return made;
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
    const SeatLight light{tank_, setup_.path_lights, setup_.seats};
    const std::vector<Setting>& settings = setup_.problem.path.settings;
    setup_.problem.exposures = ExposureTable{settings.size(), setup_.seats.size()};
    for (std::size_t i = 0; i < settings.size(); ++i) {
      const std::vector<Exposure> there = light.under(settings[i]);
      for (std::size_t number = 0; number < there.size(); ++number) {
        setup_.problem.exposures.at(i, number) = there[number];
      }
    }
  }

  const Tank& tank_;
  std::span<const Seat> more_seats_;
  RampSetup setup_;
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

Exposure usable_exposure(const Tank& tank, const Seat& seat,
                         const std::map<std::size_t, Percent>& dials) {
  return under_mesh(seat, tank.usable_exposure(seat.spot, dials));
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

SeatLight::SeatLight(const Tank& tank, const std::vector<std::size_t>& path_lights,
                     const std::vector<Seat>& seats) {
  for (const std::size_t light : path_lights) courses_.push_back(tank.lights[light].course);
  for (const Seat& seat : seats) {
    std::vector<Ppfd> outputs;
    for (const std::size_t light : path_lights) {
      const auto& output = tank.full_output[seat.spot][light];
      const double share = seat.transmission * tank.lights[light].usable_weight;
      outputs.push_back(share * output.value_or(FullOutput{}).ppfd);
    }
    full_outputs_.push_back(std::move(outputs));
  }
}

std::vector<Exposure> SeatLight::under(const Setting& setting) const {
  const LitDay day{courses_, setting};
  std::vector<Exposure> exposures;
  exposures.reserve(full_outputs_.size());
  for (const std::vector<Ppfd>& outputs : full_outputs_) exposures.push_back(day.at(outputs));
  return exposures;
}

RampSetup make_ramp_setup(const Tank& tank, std::span<const Seat> more_seats) {
  return SetupMaker{tank, more_seats}.make();
}

}  // namespace slowdawn
