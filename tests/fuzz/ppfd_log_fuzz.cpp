// A logged series of PPFD (CSV), and the days that it is integrated to.
#include <cmath>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/ppfd_log.hpp>

#include "fuzz.hpp"
#include "tank/json_document.hpp"

namespace slowdawn {
namespace {

/// The whole day at the highest PPFD that a log may have, and some rounding.
constexpr double largest_dose = 0.0036 * 3000.0 * 24.0 * 1.000001;

void try_log(const std::string& text) {
  const auto log = parse_ppfd_log("log.csv", text);
  require_findings(log, "log.csv");
  if (!log) return;
  for (const bool allow_gaps : {false, true}) {
    const auto days = integrate_logged_light(log->samples, {.allow_gaps = allow_gaps});
    if (!days) {
      require(days.error().sample < log->samples.size(), "a fault is at a sample");
      require(!days.error().what.empty(), "a fault says what");
      continue;
    }
    for (const LoggedDay& day : *days) {
      const double dose = day.dose.mol_m2_d();
      require(dose >= 0.0 && dose <= largest_dose, "a day's dose can be");
    }
    require(JsonDocument::parse("dose", dose_json(log->first_date, *days)).has_value(),
            "the answer is JSON");
    require(!dose_text("log.csv", log->first_date, *days, {}).empty(), "the answer has a text");
  }
}

}  // namespace
}  // namespace slowdawn

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  slowdawn::try_log(slowdawn::text_of(data, size));
  return 0;
}
