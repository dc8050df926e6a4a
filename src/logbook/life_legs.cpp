#include <algorithm>
#include <slowdawn/tank/even_setup.hpp>

#include "logbook/find_named.hpp"
#include "logbook/life.hpp"

namespace slowdawn {

/// A group of a later leg without a history: it lived at its spot since the record
/// begins.
struct Life::Newcomer {
  std::vector<GroupLight> light;
  /// Before each day's light, and before the first of the leg.
  std::vector<GroupState> states;
};

std::vector<Seat> Life::list_seats(const Tank& tank, std::size_t leg) const {
  std::vector<Seat> seats;
  const auto add = [&](const Seat& seat) {
    if (std::find(seats.begin(), seats.end(), seat) == seats.end()) seats.push_back(seat);
  };
  const bool is_last = leg + 1 == story_->legs.size();
  const long end =
      is_last ? std::numeric_limits<long>::max() : story_->day_of(story_->legs[leg + 1].start);
  // Which meshes each group may be under: those of the file, and any that was logged.
  std::map<std::size_t, std::vector<double>> meshes;
  std::map<std::size_t, std::vector<std::size_t>> spots;
  for (std::size_t g = 0; g < tank.groups.size(); ++g) {
    meshes[g] = tank.groups[g].shades;
    meshes[g].push_back(1.0);
    spots[g] = {tank.groups[g].spot_of_start()};
  }
  const auto take = [&](const Entry& entry) {
    const auto* moved = std::get_if<MovedEntry>(entry.body.get());
    if (moved == nullptr) return;
    const auto spot = find_named(tank.spots, moved->spot);
    const auto group = find_named(tank.groups, moved->group);
    if (!spot || !group) return;
    spots[*group].push_back(*spot);
    if (moved->mesh) meshes[*group].push_back(*moved->mesh);
  };
  for (const auto& [day, entries] : story_->by_day) {
    if (day >= end) break;
    for (const Entry* entry : entries) take(*entry);
  }
  if (is_last) {
    for (const Entry& entry : extra_) take(entry);
  }
  for (const auto& [g, its_spots] : spots) {
    if (its_spots.size() < 2 && meshes[g].size() < 2 + tank.groups[g].shades.size() &&
        its_spots.front() == tank.groups[g].spot_of_start()) {
      continue;
    }
    // A mesh goes with its group until it is taken off.
    for (const std::size_t spot : its_spots) {
      for (const double mesh : meshes[g]) add({spot, mesh});
    }
  }
  return seats;
}

void Life::run_evenly(const FollowEntry& followed) {
  line_ = followed_line(tank_, followed);
  if (line_ && !is_line_of(tank_, *line_)) line_.reset();
  if (line_) setup_ = with_even_line(tank_, std::move(setup_), *line_);
}

void Life::know_seats(std::span<const Seat> seats) {
  std::vector<Seat> all = setup_.seats;
  for (const Seat& seat : seats) {
    if (!setup_.find_seat(seat)) all.push_back(seat);
  }
  if (all.size() == setup_.seats.size()) return;
  // Those that are known keep their numbers, since they come first.
  RampSetup made = make_ramp_setup(tank_, all, list_weights());
  if (line_) made = with_even_line(tank_, std::move(made), *line_);
  walk_->use_light(made.problem);
  setup_.seats = made.seats;
  setup_.problem.exposures = std::move(made.problem.exposures);
  setup_.problem.brighter = std::move(made.problem.brighter);
  setup_.problem.readings = std::move(made.problem.readings);
  setup_.problem.weightings = std::move(made.problem.weightings);
}

void Life::begin_first_leg() {
  const Leg& leg = story_->legs.front();
  tank_ = leg.tank;
  setup_ = make_ramp_setup(tank_, list_seats(tank_, 0));
  run_evenly(*leg.followed);
  walk_.emplace(setup_.problem);
  const long followed_on = story_->day_of(leg.entry->made);
  for (const RampGroup& group : setup_.problem.groups) {
    const auto found = story_->baselines.find(group.name);
    const Baselines baselines = found == story_->baselines.end() ? Baselines{} : found->second;
    groups_.push_back({Condition{group.tolerance, baselines}});
    groups_.back().count_from = std::max(followed_on, 0L);
  }
  take_earlier_moves();
}

/// Puts the light of the days of a leg in force where a lamp was changed within it.
void Life::use_outputs_of(std::size_t day) {
  const Leg& leg = story_->legs[leg_];
  for (std::size_t i = 1; i < leg.outputs.size(); ++i) {
    if (story_->day_of(leg.outputs[i].from) != static_cast<long>(day)) continue;
    tank_.full_output = leg.outputs[i].full_output;
    RampSetup made = make_ramp_setup(tank_, setup_.seats, list_weights());
    if (line_) made = with_even_line(tank_, std::move(made), *line_);
    walk_->use_light(made.problem);
  }
}

/// A group of a leg as the one before left it.
/// made: as its file alone would have it.
RampGroup Life::carried(const RampGroup& made, std::size_t from) const {
  const RampGroup& old = walk_->problem().groups[from];
  const GroupState& state = walk_->states()[from];
  const Acclimation shown = walk_->days().back().groups.light_of(from).shown(state.used_to);
  RampGroup group = made;
  group.before = {std::max(old.before.dose, shown.dose), std::max(old.before.peak, shown.peak)};
  group.first_dose = old.first_dose.value_or(old.before.dose);
  group.used_to = state.used_to;
  group.allowance = state.allowance;
  group.doubt = 0.0;
  group.is_gone = old.is_gone;
  return group;
}

Life::Newcomer Life::live_since_record(std::size_t g) const {
  const RampGroup& group = setup_.problem.groups[g];
  const Seat& seat = setup_.seats[group.spot];
  const DailyRates rates{group.tolerance};
  Newcomer lived;
  std::optional<GroupState> state;
  for (const NamedDials& lit : lit_) {
    const GroupLight light = group_light(tank_, seat, setup_.starts[g].weights, by_number(lit));
    const Exposure& counted = light.effective;
    if (!state) state = GroupState{{counted.dose, counted.peak}, counted};
    lived.light.push_back(light);
    lived.states.push_back(*state);
    const Limits limits = compute_limits(group, *state);
    const Exposure credited{std::min({counted.dose, limits.dose_pace, limits.dose_headroom}),
                            std::min({counted.peak, limits.peak_pace, limits.peak_headroom})};
    state = after_day(*state, credited, credited, rates);
  }
  if (state) lived.states.push_back(*state);
  return lived;
}

namespace {

/// Where a group of a leg goes on living, with what its file plans for it there.
void settle_in(Group& group, const Seat& seat) {
  group.spot = seat.spot;
  if (group.to_spot == seat.spot && seat.transmission == 1.0) group.to_spot.reset();
  // A move of the first day was that of an earlier leg, or is to be logged.
  if (!group.moves_when_ready) group.to_spot.reset();
  std::erase_if(group.shades, [&](double shade) { return shade < seat.transmission; });
  const bool is_listed = !group.shades.empty() && group.shades.front() == seat.transmission;
  if (!is_listed) group.shades.clear();
  group.history.reset();
}

}  // namespace

void Life::go_on_with(const Leg& leg, std::size_t day) {
  // A dial by hand stands for the days that it names, whatever is followed meanwhile.
  const auto by_hand = by_hand_ ? std::optional{by_name(*by_hand_)} : std::nullopt;
  const RampSetup old_setup = std::move(setup_);
  const Tank old_tank = std::move(tank_);
  std::vector<GroupLife> old_groups = std::move(groups_);
  Tank tank = leg.tank;
  const auto light_number = [&](const std::string& name) { return *find_named(tank.lights, name); };
  const auto of_file = tank.ramp.from;
  spots_of_file_.clear();
  tank.ramp.from.clear();
  for (const auto& [name, dial] : last_lit_) {
    const std::size_t light = light_number(name);
    const bool is_lit = dial.percent() > 0.0;
    if (is_lit && !tank.ramp.to.contains(light)) tank.ramp.to[light] = Percent{};
    if (is_lit || tank.ramp.to.contains(light)) tank.ramp.from[light] = dial;
  }
  from_differs_ = of_file != tank.ramp.from;
  for (const auto& [light, dial] : tank.ramp.to) tank.ramp.from.try_emplace(light, Percent{});

  // Where each group comes from, and where it lives.
  std::vector<std::optional<std::size_t>> from;
  std::vector<Seat> there;
  for (Group& group : tank.groups) {
    auto old = find_named(old_tank.groups, group.name);
    if (old && old_groups[*old].gone_on && leg.is_named[from.size()]) old.reset();
    Seat seat{group.spot_of_start(), group.shades.empty() ? 1.0 : group.shades.front()};
    if (old) {
      const Seat& was = old_setup.seats[walk_->problem().groups[*old].spot];
      seat = {*find_named(tank.spots, old_tank.spots[was.spot].name), was.transmission};
      const std::size_t in_file = group.spot_of_start();
      if (leg.is_named[from.size()] && in_file != seat.spot) {
        spots_of_file_.emplace_back(from.size(), in_file);
      }
      settle_in(group, seat);
    }
    from.push_back(old);
    there.push_back(seat);
  }
  std::vector<Seat> seats = list_seats(tank, leg_ + 1);
  seats.insert(seats.end(), there.begin(), there.end());
  // Where groups have lived, for the days that are shown.
  for (const Seat& seat : old_setup.seats) {
    seats.push_back({*find_named(tank.spots, old_tank.spots[seat.spot].name), seat.transmission});
  }
  tank_ = std::move(tank);
  const std::vector<GroupStart> starts = starts_of_leg(old_setup, old_tank, from, there);
  std::vector<LightWeights> known_weights;
  for (const GroupStart& start : starts) known_weights.push_back(start.weights);
  setup_ = make_ramp_setup(tank_, seats, known_weights);

  std::map<std::size_t, Newcomer> newcomers;
  for (std::size_t g = 0; g < from.size(); ++g) {
    RampGroup& group = setup_.problem.groups[g];
    group.spot = *setup_.find_seat(there[g]);
    if (from[g]) {
      GroupLife life = std::move(old_groups[*from[g]]);
      life.condition.take_figures(group.tolerance);
      group = carried(group, *from[g]);
      setup_.starts[g].unit = starts[g].unit;
      setup_.starts[g].doubts = starts[g].doubts;
      setup_.starts[g].basis = starts[g].basis;
      group.tolerance = life.condition.tolerance();
      if (leg.is_dropped[g] && !life.gone_on) life.gone_on = day;
      group.is_gone = life.gone_on.has_value();
      groups_.push_back(std::move(life));
      continue;
    }
    const auto found = story_->baselines.find(group.name);
    groups_.push_back({Condition{group.tolerance,
                                 found == story_->baselines.end() ? Baselines{} : found->second}});
    groups_.back().count_from = static_cast<long>(day);
    if (tank_.groups[g].history) {
      groups_.back().came_on = day;
      continue;
    }
    Newcomer newcomer = live_since_record(g);
    const GroupState& now = newcomer.states.back();
    group.used_to = now.used_to;
    group.allowance = now.allowance;
    const Acclimation shown = newcomer.light.back().shown(now.used_to);
    group.before = {shown.dose, shown.peak};
    group.doubt = 0.0;
    setup_.starts[g].basis = {.kind = StartBasis::Kind::first_day};
    for (const GroupLight& light : newcomer.light) {
      groups_.back().given.push_back(light.effective.dose);
    }
    newcomers.emplace(g, std::move(newcomer));
  }
  setup_.problem.lights_change = false;
  setup_.problem.days_since_step = static_cast<int>(day - last_step_day_);
  run_evenly(*leg.followed);

  Plan lived = in_new_frame(walk_->take_plan(), old_setup, old_tank, from, newcomers);
  walk_.emplace(setup_.problem);
  walk_->go_on_from(std::move(lived), day);
  const bool was_dark = is_dark_;
  walk_->stand_at(line_ ? setup_.problem.even->start
                        : setup_.problem.path.base.value_or(setup_.problem.path.goal));
  hand_setting_ = walk_->setting();
  is_dark_ = was_dark;
  if (by_hand) by_hand_ = by_number(*by_hand);
  outlook_ = {};
  has_changed_ = true;
  for (ReplayEvent& event : events_) {
    event.group = *find_group(old_tank.groups[event.group].name);
  }
  for (Accident& accident : accidents_) {
    accident.group = *find_group(old_tank.groups[accident.group].name);
  }
  logged_moves_ = walk_->moves();
  for (std::size_t past = 0; past < day; ++past) dialled_.try_emplace(past, lit_[past]);
  leg_days_.push_back(day);
  ++leg_;
}

/// The days of the legs before, with the groups and seats of the newest: what was lit
/// is kept as dials, since the settings were of another path.
Plan Life::in_new_frame(Plan plan, const RampSetup& old_setup, const Tank& old_tank,
                        const std::vector<std::optional<std::size_t>>& from,
                        const std::map<std::size_t, Newcomer>& newcomers) const {
  std::vector<std::size_t> to(old_tank.groups.size());
  for (std::size_t g = 0; g < from.size(); ++g) {
    if (from[g]) to[*from[g]] = g;
  }
  std::vector<std::size_t> seats;
  for (const Seat& seat : old_setup.seats) {
    const Seat same{*find_named(tank_.spots, old_tank.spots[seat.spot].name), seat.transmission};
    seats.push_back(*setup_.find_seat(same));
  }
  Plan moved{};
  std::size_t number = 0;
  for (std::size_t day = 0; day < plan.days.size(); ++day) {
    const PlanDay& old = plan.days[day];
    DayLight light;
    std::vector<GroupState> states;
    for (std::size_t g = 0; g < from.size(); ++g) {
      if (from[g]) {
        const GroupDay group = old.groups[*from[g]];
        light.lights.push_back(group.light);
        light.spots.push_back(seats[group.spot]);
        states.push_back(group.state);
        continue;
      }
      light.spots.push_back(setup_.problem.groups[g].spot);
      const auto found = newcomers.find(g);
      const bool is_known = found != newcomers.end();
      light.lights.push_back(is_known ? found->second.light[day] : GroupLight{});
      states.push_back(is_known ? found->second.states[day]
                                : state_at_start(setup_.problem.groups[g]));
    }
    if (day == 0 || lit_[day] != lit_[day - 1]) ++number;
    PlanDay made{.setting = 0, .by_hand = number};
    made.is_as_recorded = !old.by_hand || old.is_as_recorded;
    made.held_by = old.held_by;
    if (made.held_by && made.held_by->by) made.held_by->by->group = to[made.held_by->by->group];
    made.groups = GroupDays{std::make_shared<const DayLight>(std::move(light)), states};
    moved.days.push_back(std::move(made));
  }
  const auto in_frame = [&](RampGroup group, std::size_t number_now) {
    group.spot = seats[group.spot];
    group.weighting = setup_.problem.groups[number_now].weighting;
    group.wish.reset();
    return group;
  };
  for (std::size_t g = 0; g < old_tank.groups.size(); ++g) {
    moved.changes.push_back({0, to[g], in_frame(old_setup.problem.groups[g], to[g])});
  }
  for (const GroupChange& change : plan.changes) {
    moved.changes.push_back(
        {change.day, to[change.group], in_frame(change.changed, to[change.group])});
  }
  for (const Move& move : plan.moves) {
    moved.moves.push_back({move.day, to[move.group], seats[move.spot]});
  }
  return moved;
}

GroupLight Life::light_of(std::size_t g, const LightDials& dials) const {
  const RampGroup& group = walk_->problem().groups[g];
  const auto setting = find_setting(by_name(dials), walk_->setting());
  if (setting) return walk_->problem().light(*setting, group);
  return group_light(tank_, setup_.seats[group.spot], setup_.starts[g].weights, dials);
}

std::vector<GroupLight> Life::lights_of(const LightDials& dials) const {
  const auto setting = find_setting(by_name(dials), walk_->setting());
  const auto& groups = walk_->problem().groups;
  std::vector<GroupLight> lights;
  for (std::size_t g = 0; g < groups.size(); ++g) {
    lights.push_back(setting ? walk_->problem().light(*setting, groups[g])
                             : group_light(tank_, setup_.seats[groups[g].spot],
                                           setup_.starts[g].weights, dials));
  }
  return lights;
}

std::vector<LightWeights> Life::list_weights() const {
  std::vector<LightWeights> weights;
  for (const GroupStart& start : setup_.starts) weights.push_back(start.weights);
  return weights;
}

/// By group of the leg that begins, what of the start of those that go on living still
/// holds: old lights keep their weights; what is new weighs more than the light that it had,
/// by its own doubt. Empty starts for the others.
std::vector<GroupStart> Life::starts_of_leg(const RampSetup& old_setup, const Tank& old_tank,
                                            const std::vector<std::optional<std::size_t>>& from,
                                            const std::vector<Seat>& there) const {
  std::vector<GroupStart> all(from.size());
  for (std::size_t g = 0; g < from.size(); ++g) {
    if (!from[g]) continue;
    const GroupStart& old = old_setup.starts[*from[g]];
    GroupStart& start = all[g];
    start.unit = old.unit;
    start.basis = old.basis;
    start.basis.dials.clear();
    start.weights.assign(tank_.lights.size(), 0.0);
    start.doubts.assign(tank_.lights.size(), 1.0);
    for (std::size_t light = 0; light < tank_.lights.size(); ++light) {
      const auto known = find_named(old_tank.lights, tank_.lights[light].name);
      if (!known) continue;
      start.weights[light] = old.weights[*known];
      start.doubts[light] = old.doubts[*known];
      const auto dial = old.basis.dials.find(*known);
      if (dial != old.basis.dials.end()) start.basis.dials[light] = dial->second;
    }
    if (start.basis.kind == StartBasis::Kind::spot_here) {
      start.basis.spot = *find_named(tank_.spots, old_tank.spots[old.basis.spot].name);
    }
    weigh_new_lights(start, g, there[g]);
  }
  return all;
}

void Life::weigh_new_lights(GroupStart& start, std::size_t g, const Seat& there) const {
  const GroupLight stood = group_light(tank_, there, start.weights, tank_.ramp.from);
  const bool is_dark = stood.real.dose <= DailyDose{};
  const double counted = is_dark ? 1.0 : stood.effective.dose / stood.real.dose;
  const auto fresh =
      weight_of_new_lights(tank_, there.spot, tank_.ramp.from, counted, start.weights, start.doubts,
                           tank_.groups[g].profile.tolerance.carryover);
  if (!fresh) return;
  for (const auto& [light, goal] : tank_.ramp.to) {
    if (start.weights[light] != 0.0) continue;
    start.weights[light] = fresh->weight;
    start.doubts[light] = fresh->doubt;
  }
}

LightDials Life::dials_of_setting(std::size_t setting) const {
  LightDials dials;
  const Setting& chosen = walk_->problem().path.settings[setting];
  for (std::size_t j = 0; j < chosen.size(); ++j) dials[setup_.path_lights[j]] = chosen[j];
  return dials;
}

NamedDials Life::by_name(const LightDials& dials) const {
  NamedDials named;
  for (const auto& [light, dial] : dials) named[tank_.lights[light].name] = dial;
  return named;
}

LightDials Life::by_number(const NamedDials& dials) const {
  LightDials numbered;
  for (const auto& [name, dial] : dials) {
    if (const auto light = find_named(tank_.lights, name)) numbered[*light] = dial;
  }
  return numbered;
}

}  // namespace slowdawn
