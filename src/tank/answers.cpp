#include <slowdawn/tank/answers.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <set>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/utf8.hpp>

#include "tank/fold_case.hpp"
#include "tank/json_reader.hpp"

namespace slowdawn {
namespace {

std::string quote_answer(std::string_view text) { return "\"" + std::string{text} + "\""; }

std::vector<std::string> split_words(std::string_view text, std::string_view separators) {
  std::vector<std::string> words;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t begin = text.find_first_not_of(separators, at);
    if (begin == std::string_view::npos) break;
    const std::size_t end = std::min(text.find_first_of(separators, begin), text.size());
    words.emplace_back(text.substr(begin, end - begin));
    at = end;
  }
  return words;
}

/// A finite number and nothing else, whatever the locale.
std::optional<double> to_number(std::string_view text) {
  double value = 0.0;
  const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool is_whole = problem == std::errc{} && end == text.data() + text.size();
  if (!is_whole || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string range_hint(double low, double high) {
  return "write a number from " + number_text(low) + " to " + number_text(high);
}

/// Numbers and words of an answer apart: "90min rise" is 90, "min", "rise".
std::vector<std::string> split_units(std::string_view text) {
  std::vector<std::string> parts;
  for (const std::string& word : split_words(fold_case(text), " \t,;")) {
    const std::size_t end = std::min(word.find_first_not_of("0123456789.:"), word.size());
    if (end > 0) parts.push_back(word.substr(0, end));
    if (end < word.size()) parts.push_back(word.substr(end));
  }
  return parts;
}

bool is_among(std::string_view word, std::initializer_list<std::string_view> words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

/// Takes the words of a day's line one by one.
class DayLine {
 public:
  /// False for a word that has no place there.
  bool take(const std::string& word) {
    if (word.find(':') != std::string::npos) {
      const auto time = parse_clock_time(word.find(':') == 1 ? "0" + word : word);
      if (!time) return false;
      times_.push_back(*time);
      return true;
    }
    if (const auto number = to_number(word)) {
      // "rise 90, fall 60": the number belongs to the words before it.
      if (!named_.empty()) {
        for (Minutes* target : named_) *target = Minutes::min(*number);
        named_.clear();
        return true;
      }
      if (minutes_ && !is_used_) return false;
      minutes_ = Minutes::min(*number);
      is_used_ = false;
      return true;
    }
    if (word == "rise" || word == "fall") {
      Minutes& target = word == "rise" ? rise_ : fall_;
      if (minutes_) {
        target = *minutes_;
        is_used_ = true;
      } else {
        named_.push_back(&target);
      }
      return true;
    }
    return is_among(word, {"to", "until", "with", "and", "of", "min", "minutes", "minute"});
  }

  std::optional<DraftDay> day() const {
    const bool is_whole = times_.size() == 2 && named_.empty() && (!minutes_ || is_used_);
    if (!is_whole) return std::nullopt;
    return DraftDay{times_[0], times_[1], rise_, fall_};
  }

 private:
  std::vector<ClockTime> times_;
  Minutes rise_;
  Minutes fall_;
  /// The last ones named, for the words after it.
  std::optional<Minutes> minutes_;
  bool is_used_ = false;
  /// Words that wait for their number.
  std::vector<Minutes*> named_;
};

/// Written with a decimal comma, where commas part nothing.
std::string number_hint(std::string_view text, std::string hint) {
  return text.find(',') == std::string_view::npos ? std::move(hint)
                                                  : "write decimals with a point, such as 3.5";
}

}  // namespace

Result<std::string> parse_name(std::string_view text) {
  if (text.empty()) return fault("a name has at least one letter", "give it one");
  if (!is_utf8(text)) {
    return fault("the name is not valid UTF-8", "set the terminal to UTF-8, or use plain letters");
  }
  return std::string{text};
}

Result<double> parse_amount(std::string_view text, double low, double high, std::string_view kind) {
  const auto value = to_number(text);
  if (!value) {
    return fault(quote_answer(text) + " is no " + std::string{kind},
                 number_hint(text, range_hint(low, high)));
  }
  if (*value < low || *value > high) {
    return fault(number_text(*value) + " is out of range", range_hint(low, high));
  }
  return *value;
}

Result<Percent> parse_percent(std::string_view text) {
  std::string_view bare = text;
  if (bare.ends_with('%')) bare.remove_suffix(1);
  while (bare.ends_with(' ')) bare.remove_suffix(1);
  const auto value = parse_amount(bare, 0, 100, "percentage");
  if (!value) return tl::make_unexpected(value.error());
  return Percent::of_full(*value);
}

Result<Percent> parse_lit_percent(std::string_view text) {
  auto percent = parse_percent(text);
  if (percent && percent->percent() == 0.0) {
    return fault("at 0 % the light is off", "give the percentage at which it is on");
  }
  return percent;
}

Result<std::vector<double>> parse_repeats(std::string_view text) {
  constexpr double highest_ppfd = 3000;
  std::vector<double> repeats;
  for (const std::string& word : split_words(text, " \t")) {
    const auto value = to_number(word);
    if (!value) {
      return fault(quote_answer(word) + " is no PPFD",
                   number_hint(word, "write numbers separated by spaces, such as 212 208 216"));
    }
    if (*value < 0 || *value > highest_ppfd) {
      return fault(number_text(*value) + " is out of range, which goes from 0 to 3000",
                   "PPFD is about 2000 in full sun at the surface; is this lux?");
    }
    repeats.push_back(*value);
  }
  if (repeats.empty()) return fault("there is no reading", "write a number, such as 212");
  return repeats;
}

Result<std::vector<double>> parse_numbers(std::string_view text, std::size_t count, double low,
                                          double high, std::string_view example) {
  std::vector<double> numbers;
  for (const std::string& word : split_words(text, " \t,;")) {
    const auto value = parse_amount(word, low, high, "number");
    if (!value) return tl::make_unexpected(value.error());
    numbers.push_back(*value);
  }
  if (numbers.size() == count) return numbers;
  return fault(
      "expected " + std::to_string(count) + " numbers, found " + std::to_string(numbers.size()),
      "for example " + std::string{example});
}

Result<std::vector<std::size_t>> parse_choice(std::string_view text, std::size_t count) {
  std::set<std::size_t> chosen;
  for (const std::string& word : split_words(text, " \t,;")) {
    const auto number = to_number(word);
    const bool is_one = number && *number >= 1.0 && *number <= static_cast<double>(count) &&
                        *number == std::floor(*number);
    if (!is_one) {
      return fault(quote_answer(word) + " is no number of the list",
                   "give numbers from 1 to " + std::to_string(count));
    }
    chosen.insert(static_cast<std::size_t>(*number) - 1);
  }
  if (chosen.empty()) return fault("no number was given", "for example 1 3");
  return std::vector<std::size_t>{chosen.begin(), chosen.end()};
}

Result<DraftDay> check_day(const DraftDay& day) {
  const auto made = Photoperiod::between(day.on, day.off, day.rise, day.fall);
  if (!made) return tl::make_unexpected(made.error());
  return day;
}

Result<DraftDay> parse_day(std::string_view text) {
  std::string parted;
  for (std::size_t at = 0; at < text.size();) {
    // A hyphen or a dash between the times.
    const std::size_t dash = text.substr(at).starts_with("-")              ? 1
                             : text.substr(at).starts_with("\xE2\x80\x93") ? 3
                                                                           : 0;
    parted += dash > 0 ? ' ' : text[at];
    at += std::max<std::size_t>(dash, 1);
  }
  DayLine line;
  for (const std::string& word : split_units(parted)) {
    if (line.take(word)) continue;
    return fault(quote_answer(word) + " has no place in a light's day",
                 "write it as 09:00 to 20:00, 90 min rise and fall; or 09:30-19:30 alone");
  }
  const auto day = line.day();
  if (!day) {
    return fault(quote_answer(text) + " is no light's day",
                 "write it as 09:00 to 20:00, 90 min rise and fall; or 09:30-19:30 alone");
  }
  return check_day(*day);
}

Result<DialRange> parse_dial(std::string_view text) {
  const auto numbers = parse_numbers(text, 3, 0, 100, "5 100 1: lowest, highest and step");
  if (!numbers) return tl::make_unexpected(numbers.error());
  const double lowest = (*numbers)[0];
  const double highest = (*numbers)[1];
  const double step = (*numbers)[2];
  if (lowest > highest || highest < 0.01) {
    return fault("the dial's lowest is over its highest",
                 "write the lowest first, then the highest");
  }
  if (step < 0.01) return fault("the dial's step is too small", "a step is 0.01 % or more");
  return DialRange{Percent::of_full(lowest), Percent::of_full(highest), Percent::of_full(step)};
}

Result<std::vector<std::pair<Percent, Percent>>> parse_dimming(std::string_view text) {
  std::vector<std::pair<Percent, Percent>> pairs;
  for (const std::string& word : split_words(text, " \t,;")) {
    const auto colon = word.find(':');
    const auto drive = parse_percent(std::string_view{word}.substr(0, colon));
    const auto output = parse_percent(
        colon == std::string::npos ? std::string_view{} : std::string_view{word}.substr(colon + 1));
    if (!drive || !output) {
      return fault(quote_answer(word) + " is no pair of drive and output",
                   "write what is dialled, a colon and what comes out, such as 25:21 50:47");
    }
    pairs.emplace_back(*drive, *output);
  }
  if (pairs.empty()) return fault("there is no pair", "for example 25:21 50:47");
  const auto curve = DimmingCurve::through(pairs);
  if (!curve) return tl::make_unexpected(curve.error());
  return pairs;
}

Result<std::vector<Channel>> parse_channels(std::string_view text) {
  static const std::string example = "write each channel and its percentage: royal 100, violet 80";
  std::vector<Channel> channels;
  std::string name;
  for (const std::string& word : split_words(text, " \t,;")) {
    // "8 %", written apart.
    if (word == "%") continue;
    const bool is_percentage = parse_percent(word).has_value();
    if (!is_percentage) {
      name += (name.empty() ? "" : " ") + word;
      continue;
    }
    const auto share = parse_amount(word.substr(0, word.find('%')), 0.1, 100, "percentage");
    if (!share) return tl::make_unexpected(share.error());
    if (name.empty()) return fault(quote_answer(word) + " stands without its channel", example);
    const bool is_taken = std::any_of(channels.begin(), channels.end(),
                                      [&](const Channel& other) { return other.name == name; });
    if (is_taken) return fault("the channel " + quote_answer(name) + " stands twice", example);
    channels.push_back({std::exchange(name, ""), Percent::of_full(*share)});
  }
  if (!name.empty()) {
    return fault("the channel " + quote_answer(name) + " has no percentage", example);
  }
  if (channels.empty()) return fault("there is no channel", example);
  if (!is_utf8(text)) {
    return fault("a name is not valid UTF-8", "set the terminal to UTF-8, or use plain letters");
  }
  return channels;
}

Result<Exposure> make_earlier_light(DailyDose dose, Ppfd peak) {
  if (dose < DailyDose::mol_m2_d(0.01) || dose > DailyDose::mol_m2_d(100.0)) {
    return fault("a dose of " + number_text(dose.mol_m2_d()) + " is out of range",
                 "doses go from 0.01 to 100 mol m-2 d-1");
  }
  if (peak < Ppfd::umol_m2_s(0.1) || peak > Ppfd::umol_m2_s(3000.0)) {
    return fault("a peak of " + number_text(peak.umol_m2_s()) + " is out of range",
                 "peaks go from 0.1 to 3000 umol m-2 s-1");
  }
  if (exceeds(dose, peak * Hours::h(24))) {
    return fault("this dose needs more than 24 h a day even at the peak",
                 "dose is in mol m-2 d-1, peak in umol m-2 s-1; dose = 0.0036 x PPFD x hours");
  }
  return Exposure{dose, peak};
}

Result<History> parse_earlier_light(std::string_view text) {
  if (text == "unknown") return History{.basis = History::Basis::unknown};
  const auto refuse = [&] {
    return fault(quote_answer(text) + " is no light of before",
                 "write PPFD and hours, such as 120 for 10 h; or dose 6.2 peak 190; or unknown");
  };
  const auto of_basis = [](History::Basis basis) {
    return [basis](const Exposure& light) { return History{.basis = basis, .light = light}; };
  };
  const auto measured = of_basis(History::Basis::measured);
  std::vector<double> numbers;
  std::vector<std::string> names;
  bool has_hours = false;
  for (const std::string& word : split_units(text)) {
    if (const auto number = to_number(word)) {
      numbers.push_back(*number);
    } else if (word == "dose" || word == "peak") {
      names.push_back(word);
    } else if (is_among(word, {"for", "h", "hours", "x"})) {
      has_hours = true;
    } else if (!is_among(word, {"and", "of", "ppfd", "umol", "mol"})) {
      return refuse();
    }
  }
  if (numbers.size() != 2) return refuse();
  const bool is_figures = names.size() == 2 && names[0] != names[1] && !has_hours;
  if (is_figures) {
    if (names[0] != "dose") std::swap(numbers[0], numbers[1]);
    return make_earlier_light(DailyDose::mol_m2_d(numbers[0]), Ppfd::umol_m2_s(numbers[1]))
        .map(measured);
  }
  if (!names.empty() || !has_hours) return refuse();
  if (numbers[1] <= 0.0 || numbers[1] > 24.0) {
    return fault("a day has no " + number_text(numbers[1]) + " h",
                 "write the hours of light a day");
  }
  const auto told = of_basis(History::Basis::told);
  const Ppfd ppfd = Ppfd::umol_m2_s(numbers[0]);
  // Too bright whatever the hours, which is then what is said.
  if (ppfd > Ppfd::umol_m2_s(3000.0)) {
    return make_earlier_light(DailyDose::mol_m2_d(1.0), ppfd).map(told);
  }
  return make_earlier_light(ppfd * Hours::h(numbers[1]), ppfd).map(told);
}

Result<Pace> parse_pace(std::string_view text) {
  static const std::vector<std::string> names{"gentle", "standard", "brisk"};
  const auto found = std::find(names.begin(), names.end(), text);
  if (found != names.end()) return static_cast<Pace>(found - names.begin());
  return fault("there is no pace " + quote_answer(text), hint_for_name(text, names));
}

}  // namespace slowdawn
