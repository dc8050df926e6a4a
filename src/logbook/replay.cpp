#include <slowdawn/logbook/replay.hpp>

#include "logbook/life.hpp"

namespace slowdawn {

std::map<std::size_t, Percent> Replay::dials_of_day(std::size_t day) const {
  if (const auto by_hand = dialled.find(day); by_hand != dialled.end()) return by_hand->second;
  std::map<std::size_t, Percent> dials;
  const Setting& setting = setup.problem.path.settings[plan.days[day].setting];
  for (std::size_t j = 0; j < setting.size(); ++j) dials[setup.path_lights[j]] = setting[j];
  return dials;
}

ReadResult<std::optional<Replay>> replay(const std::string& tank_file, Log log, const Date& today) {
  auto legs = list_legs(tank_file, log.entries);
  if (!legs) return tl::make_unexpected(std::move(legs.error()));
  if (legs->empty()) return std::optional<Replay>{};
  // Their entries stay in place when the log moves into the story.
  const auto story = std::make_shared<const LifeStory>(std::move(log), std::move(*legs), today);
  Replay made = Life{story}.live(true);
  return std::optional{std::move(made)};
}

Record days_to_store(const Log& before, const std::optional<Replay>& replayed) {
  if (!replayed) return {};
  Record days = replayed->record;
  if (!before.record_is_stored || before.record.empty()) return days;
  const Date last = before.record.back().date;
  std::erase_if(days, [&](const RecordedDay& day) { return day.date <= last; });
  return days;
}

}  // namespace slowdawn
