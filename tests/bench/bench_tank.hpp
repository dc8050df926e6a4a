// An invented tank for the benchmarks, of any number of groups.
#pragma once

#include <slowdawn/tank/tank.hpp>
#include <string>

namespace slowdawn {

/// An invented tank of `groups` groups at as many spots whose plan takes about
/// 120 days; `dimming` gives both lights a curve and crossing days.
inline std::string make_tank_text(int groups, bool dimming) {
  std::string spots;
  std::string before;
  std::string front;
  std::string rear;
  std::string list;
  for (int g = 0; g < groups; ++g) {
    const std::string comma = g == 0 ? "" : ",";
    const std::string name = "\"spot " + std::to_string(g) + "\"";
    spots += comma + "{\"name\":" + name + "}";
    before += comma + name + ":" + std::to_string(90 + 5 * (g % 12));
    front += comma + name + ":" + std::to_string(60 + 3 * (g % 12));
    rear += comma + name + ":" + std::to_string(50 + 4 * (g % 7));
    list += comma + "{\"name\":\"group " + std::to_string(g) +
            "\",\"profile\":\"acropora\",\"spot\":" + name +
            (g % 3 == 0 ? ",\"override\":{\"weekly_rise_percent\":6}" : "") + "}";
  }
  const std::string curve = dimming ? ",\"dimming\":[[25,21],[50,47],[75,74]]" : "";
  return "{\"format\":\"slowdawn-tank/1\",\"name\":\"bench\",\"lights\":["
         "{\"name\":\"old\",\"photoperiod\":{\"on\":\"09:00\",\"off\":\"19:00\"}},"
         "{\"name\":\"front\",\"photoperiod\":{\"on\":\"09:00\",\"off\":\"18:00\","
         "\"rise_minutes\":240,\"fall_minutes\":240}" +
         curve +
         "},{\"name\":\"rear\",\"photoperiod\":{\"on\":\"12:00\",\"off\":\"22:00\","
         "\"rise_minutes\":240,\"fall_minutes\":240}" +
         curve + "}],\"spots\":[" + spots +
         "],\"surveys\":["
         "{\"dials\":{\"old\":100},\"ppfd\":{" +
         before + "}},{\"dials\":{\"front\":40},\"ppfd\":{" + front +
         "}},{\"dials\":{\"rear\":40},\"ppfd\":{" + rear + "}}],\"groups\":[" + list +
         "],\"ramp\":{\"from\":{\"old\":100},\"to\":{\"front\":95,\"rear\":95},"
         "\"start\":\"2026-12-01\"}}";
}

inline Tank make_tank(int groups, bool dimming) {
  return parse_tank("bench.tank.json", make_tank_text(groups, dimming), ProfileShelf::built_in())
      .value();
}

}  // namespace slowdawn
