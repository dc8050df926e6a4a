#include <slowdawn/tank/risk_setup.hpp>

#include <algorithm>
#include <cmath>
#include <set>

#include "tank/ratio_error.hpp"

namespace slowdawn {
namespace {

using Row = RiskCourse::Row;
using Stretch = RiskCourse::Stretch;

/// The lights of some dials that are not at 0, and their day.
struct LitLights {
  explicit LitLights(const Tank& tank, const Dials& dials)
      : lights(list_lit(dials)), day(list_courses(tank, dials), list_dials(dials)) {}

  std::vector<std::size_t> lights;
  LitDay day;

 private:
  static std::vector<std::size_t> list_lit(const Dials& dials) {
    std::vector<std::size_t> lit;
    for (const auto& [light, dial] : dials) {
      if (dial.percent() > 0.0) lit.push_back(light);
    }
    return lit;
  }
  static std::vector<LightCourse> list_courses(const Tank& tank, const Dials& dials) {
    std::vector<LightCourse> courses;
    for (const std::size_t light : list_lit(dials)) courses.push_back(tank.lights[light].course);
    return courses;
  }
  static std::vector<Percent> list_dials(const Dials& dials) {
    std::vector<Percent> lit;
    for (const std::size_t light : list_lit(dials)) lit.push_back(dials.at(light));
    return lit;
  }
};

class RiskCourseMaker {
 public:
  RiskCourseMaker(const LivedPlan& lived, std::size_t asked_from)
      : lived_(lived), tank_(lived.tank), setup_(lived.setup), plan_(lived.plan) {
    course_.days = plan_.days.size();
    course_.asked_from = asked_from;
    course_.calibration_error = tank_.meter.accuracy.calibration.fraction();
  }

  RiskCourse make() {
    list_light();
    course_.groups.resize(tank_.groups.size());
    for (std::size_t g = 0; g < tank_.groups.size(); ++g) begin_group(g);
    for (std::size_t day = 0; day < course_.days; ++day) add_day(day);
    for (std::size_t g = 0; g < tank_.groups.size(); ++g) add_start(g);
    return std::move(course_);
  }

 private:
  std::size_t came_on(std::size_t g) const {
    return lived_.came_on.empty() ? 0 : lived_.came_on[g];
  }

  const Seat& seat(std::size_t day, std::size_t g) const {
    return setup_.seats[plan_.days[day].groups.spot(g)];
  }

  // What is drawn.

  void list_light() {
    std::set<std::size_t> seats;
    std::set<std::size_t> spots;
    std::set<std::size_t> lights;
    const auto add_lights = [&](const Dials& dials) {
      for (const auto& [light, dial] : dials) {
        if (dial.percent() > 0.0) lights.insert(light);
      }
    };
    for (const GroupStart& start : setup_.starts) {
      if (start.basis.kind != StartBasis::Kind::spot_here) continue;
      spots.insert(start.basis.spot);
      add_lights(start.basis.dials);
    }
    std::set<std::shared_ptr<const DayLight>> seen;
    for (std::size_t day = 0; day < course_.days; ++day) {
      add_lights(lived_.dials[day]);
      const auto& light = plan_.days[day].groups.light();
      if (!seen.insert(light).second) continue;
      seats.insert(light->spots.begin(), light->spots.end());
    }
    for (const std::size_t seat : seats) spots.insert(setup_.seats[seat].spot);
    for (const std::size_t spot : spots) add_spot(spot, lights);
    add_meshes(seats);
  }

  void add_spot(std::size_t number, const std::set<std::size_t>& lights) {
    RiskCourse::Spot spot{number, {}};
    std::vector<std::size_t> read;
    for (const std::size_t light : lights) {
      const auto& output = tank_.full_output[number][light];
      if (!output) continue;
      const std::size_t count = outputs_.size();
      outputs_.try_emplace({number, light}, count);
      spot.outputs.push_back({light, output->ppfd, {}, output->log_error});
      if (!output->log_error) read.push_back(light);
    }
    // A spot that a later tank file no longer names has outputs and no readings.
    if (number < tank_.fits.size()) {
      auto row = read.begin();
      std::vector<std::vector<double>> root = tank_.fits[number].covariance.root(read);
      for (RiskCourse::Output& output : spot.outputs) {
        if (output.log_error) continue;
        output.root = std::move(root[static_cast<std::size_t>(row - read.begin())]);
        ++row;
      }
    }
    course_.spots.push_back(std::move(spot));
  }

  void add_meshes(const std::set<std::size_t>& seats) {
    const double error = std::sqrt(2.0) * tank_.meter.accuracy.repeat.fraction();
    meshes_.assign(setup_.seats.size(), RiskCourse::no_mesh);
    for (const std::size_t seat : seats) {
      if (setup_.seats[seat].transmission >= 1.0) continue;
      meshes_[seat] = course_.meshes.size();
      course_.meshes.push_back({seat, error});
    }
  }

  // A group's time constants.

  void begin_group(std::size_t g) {
    RiskCourse::Group& group = course_.groups[g];
    group.headroom = tank_.groups[g].profile.tolerance.headroom.fraction();
    group.end_day = course_.days;
    if (!lived_.gone_on.empty() && lived_.gone_on[g]) {
      group.end_day = std::min(course_.days, *lived_.gone_on[g]);
    }
    const RampGroup& began = setup_.problem.groups[g];
    group.stretches = {stretch_from(0, began.tolerance)};
    for (const GroupChange& change : plan_.changes) {
      if (change.group == g) add_change(change, group.stretches);
    }
  }

  static Stretch stretch_from(std::size_t day, const AdaptationRates& rates) {
    return {day, std::log1p(-rates.up), std::log1p(-rates.down)};
  }

  static void add_change(const GroupChange& change, std::vector<Stretch>& stretches) {
    const Stretch next = stretch_from(change.day, change.changed.tolerance);
    Stretch& last = stretches.back();
    if (next.log_up == last.log_up && next.log_down == last.log_down) return;
    if (last.first_day < change.day) {
      stretches.push_back(next);
    } else {
      last.log_up = next.log_up;
      last.log_down = next.log_down;
    }
  }

  // Its light.

  void add_day(std::size_t day) {
    const bool is_as_before = day > 0 && lived_.dials[day] == lived_.dials[day - 1];
    const GroupDays& now = plan_.days[day].groups;
    if (!is_as_before) lit_.emplace(tank_, lived_.dials[day]);
    const bool is_one_light = is_as_before && now.light() == plan_.days[day - 1].groups.light();
    for (std::size_t g = 0; g < course_.groups.size(); ++g) {
      RiskCourse::Group& group = course_.groups[g];
      if (day < came_on(g)) continue;
      if (!group.rows.empty()) {
        if (is_one_light) continue;
        const GroupDays& before = plan_.days[day - 1].groups;
        const bool is_same = is_as_before && now.spot(g) == before.spot(g) &&
                             now.light_of(g).effective == before.light_of(g).effective;
        if (is_same) continue;
      }
      group.rows.push_back(make_row(day, g));
    }
  }

  /// Equations (1) and (2).
  Row make_row(std::size_t day, std::size_t g) const {
    const GroupDays& groups = plan_.days[day].groups;
    const Exposure& effective = groups.light_of(g).effective;
    Row row{.first_day = day, .mesh = meshes_[groups.spot(g)]};
    const Seat& there = seat(day, g);
    const GroupStart& start = setup_.starts[g];
    std::vector<Ppfd> by_plan;
    std::vector<double> shares;
    for (const std::size_t light : lit_->lights) {
      const double weight = start.weights[light] > 0.0 ? start.weights[light] : 1.0;
      shares.push_back(weight * there.transmission * tank_.lights[light].usable_weight);
      const auto& output = tank_.full_output[there.spot][light];
      by_plan.push_back(shares.back() * output.value_or(FullOutput{}).ppfd);
    }
    const std::vector<double> outputs = lit_->day.outputs_at_peak(by_plan);
    const Exposure told = lit_->day.at(by_plan);
    const auto scale = [](auto amount, auto sum) {
      return sum > decltype(sum){} ? amount / sum : 0.0;
    };
    const double dose_scale = scale(effective.dose, told.dose);
    const double peak_scale = scale(effective.peak, told.peak);
    if (dose_scale == 0.0) row.certain.dose = effective.dose;
    if (peak_scale == 0.0) row.certain.peak = effective.peak;
    for (std::size_t j = 0; j < lit_->lights.size(); ++j) {
      const auto output = outputs_.find({there.spot, lit_->lights[j]});
      if (output == outputs_.end()) continue;
      const double share = shares[j] / start.doubts[lit_->lights[j]];
      const DailyDose dose = share * (Ppfd::umol_m2_s(1.0) * lit_->day.hours()[j]);
      row.parts.push_back(
          {output->second, dose_scale * dose.mol_m2_d(), peak_scale * share * outputs[j]});
    }
    return row;
  }

  // What it is used to.

  void add_start(std::size_t g) {
    RiskCourse::Group& group = course_.groups[g];
    const StartBasis& basis = setup_.starts[g].basis;
    if (basis.kind == StartBasis::Kind::first_day) {
      group.start = group.rows.front();
      return;
    }
    // Before any move of its first day, which the plan doubts.
    const Acclimation used_to = group_on_day(setup_.problem, plan_, came_on(g), g).used_to;
    if (basis.kind == StartBasis::Kind::elsewhere) {
      group.history_error = basis.error;
      group.start.certain = {used_to.dose, used_to.peak};
      return;
    }
    const Gradient gradient = gradient_of(tank_, {basis.spot, basis.dials}, SunDays::before);
    for (std::size_t light = 0; light < gradient.size(); ++light) {
      const auto output = outputs_.find({basis.spot, light});
      if (gradient[light] == 0.0 || output == outputs_.end()) continue;
      group.start.parts.push_back({output->second, gradient[light] * used_to.dose.mol_m2_d(),
                                   gradient[light] * used_to.peak.umol_m2_s()});
    }
    if (group.start.parts.empty()) group.start.certain = {used_to.dose, used_to.peak};
  }

  const LivedPlan& lived_;
  const Tank& tank_;
  const RampSetup& setup_;
  const Plan& plan_;
  RiskCourse course_;
  /// By spot and light, the number of an output.
  std::map<std::pair<std::size_t, std::size_t>, std::size_t> outputs_;
  /// By seat, the number of its mesh.
  std::vector<std::size_t> meshes_;
  /// Of the day that is added.
  std::optional<LitLights> lit_;
};

}  // namespace

std::vector<Dials> dials_by_day(const RampSetup& setup, const Plan& plan) {
  std::vector<Dials> days;
  for (const PlanDay& day : plan.days) {
    const Setting& setting = setup.problem.path.settings[day.setting];
    Dials& dials = days.emplace_back();
    for (std::size_t j = 0; j < setting.size(); ++j) dials[setup.path_lights[j]] = setting[j];
  }
  return days;
}

RiskCourse make_risk_course(const LivedPlan& lived, std::size_t asked_from) {
  return RiskCourseMaker{lived, asked_from}.make();
}

}  // namespace slowdawn
