#include <boost/date_time/gregorian/gregorian.hpp>
#include <slowdawn/tank/origin_days.hpp>

namespace slowdawn {

int day_of_year(const Date& date) { return static_cast<int>(date.day_of_year()); }

std::vector<int> season_days(Season season, Latitude latitude) {
  // Any year without a 29 February.
  constexpr unsigned short year = 2026;
  std::vector<int> days;
  for (Date date{year, 1, 1}; date.year() == year; date += boost::gregorian::days{1}) {
    // December counts as month 0, so that each season is three months in a row;
    // the south is half a year apart.
    const int month = date.month().as_number() % 12;
    const int in_the_north = latitude < Latitude{} ? (month + 6) % 12 : month;
    static constexpr std::array by_quarter{Season::winter, Season::spring, Season::summer,
                                           Season::autumn};
    const Season here = by_quarter.at(static_cast<std::size_t>(in_the_north) / 3);
    if (season == Season::year || season == here) days.push_back(day_of_year(date));
  }
  return days;
}

Result<std::vector<int>> days_between(const Date& first, const Date& last) {
  if (last < first) {
    return fault("the last day " + to_iso(last) + " lies before the first, " + to_iso(first),
                 "exchange the two dates");
  }
  if ((last - first).days() >= 366) {
    return fault("from " + to_iso(first) + " to " + to_iso(last) + " is over a year",
                 "give a year at most; for a whole one the season \"year\"");
  }
  std::vector<int> days;
  for (Date date = first; date <= last; date += boost::gregorian::days{1}) {
    days.push_back(day_of_year(date));
  }
  return days;
}

}  // namespace slowdawn
