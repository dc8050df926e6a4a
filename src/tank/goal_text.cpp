#include <algorithm>
#include <slowdawn/tank/answers.hpp>
#include <slowdawn/tank/goal_text.hpp>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/text_file.hpp>

#include "tank/dial_words.hpp"
#include "tank/json_document.hpp"
#include "tank/json_layout.hpp"

namespace slowdawn {
namespace {

constexpr const char* example = "write lights and percentages in turn: \"colours 100 white 40\"";

/// Takes the words of a goal one after another.
class GoalWords {
 public:
  GoalWords(const Tank& tank, std::string_view text) : tank_(tank), text_(without_blanks(text)) {
    for (const TankLight& light : tank.lights) names_.push_back(light.name);
  }

  Result<Goal> read() {
    if (text_.empty()) return fault("the goal is empty", example);
    while (!text_.empty()) {
      if (auto taken = take_dial(); !taken) return tl::make_unexpected(taken.error());
    }
    const bool is_lit = std::any_of(goal_.begin(), goal_.end(),
                                    [](const auto& entry) { return entry.second.percent() > 0.0; });
    if (is_lit) return std::move(goal_);
    return fault("the goal is dark",
                 "give at least one light a percentage over 0; corals need light");
  }

 private:
  Result<void> take_dial() {
    auto light = take_light();
    if (!light) return tl::make_unexpected(light.error());
    const std::string& name = names_[*light];
    if (text_.empty()) {
      return fault("\"" + name + "\" has no percentage", "write one after it: \"" + name + " 40\"");
    }
    const auto dial = parse_percent(take_number(text_));
    if (!dial) return tl::make_unexpected(dial.error());
    if (auto checked = check_share(tank_.lights[*light], *dial); !checked) return checked;
    if (auto checked = check_dial(tank_.lights[*light], *dial); !checked) return checked;
    if (!goal_.emplace(*light, *dial).second) {
      return fault("\"" + name + "\" stands twice in the goal", "name each light once");
    }
    if (text_.starts_with(',') || text_.starts_with(';')) text_ = without_blanks(text_.substr(1));
    return {};
  }

  Result<std::size_t> take_light() {
    if (text_.starts_with('"') || text_.starts_with('\'')) return take_quoted();
    if (const auto found = find_leading_name(text_, names_)) {
      text_ = without_blanks(text_.substr(names_[*found].size()));
      return *found;
    }
    if (goal_.empty() && tank_.ramp.to.size() == 1 && is_one_percentage()) {
      return tank_.ramp.to.begin()->first;
    }
    const auto whole = std::find(names_.begin(), names_.end(), text_);
    if (whole != names_.end()) {
      text_ = {};
      return static_cast<std::size_t>(whole - names_.begin());
    }
    return refuse_light();
  }

  /// A name in quotes, also one that a longer name begins with.
  Result<std::size_t> take_quoted() {
    const auto end = text_.find(text_.front(), 1);
    if (end == std::string_view::npos) {
      return fault("a quote is not closed in " + std::string{text_}, example);
    }
    const std::string name{text_.substr(1, end - 1)};
    const auto found = std::find(names_.begin(), names_.end(), name);
    if (found == names_.end()) {
      return fault("there is no light \"" + name + "\"", hint_for_name(name, names_));
    }
    text_ = without_blanks(text_.substr(end + 1));
    return static_cast<std::size_t>(found - names_.begin());
  }

  bool is_one_percentage() const {
    std::string_view rest = text_;
    return parse_percent(take_number(rest)).has_value() && rest.empty();
  }

  Result<std::size_t> refuse_light() const {
    const std::string word = words_before_percentage();
    if (!word.empty()) {
      return fault("there is no light \"" + word + "\"", hint_for_name(word, names_));
    }
    return fault("\"" + std::string{text_} + "\" does not begin with a light", example);
  }

  /// What stands where a light was expected.
  std::string words_before_percentage() const {
    std::string_view rest = text_.substr(0, text_.find_first_of(",;"));
    std::string words;
    while (!rest.empty()) {
      const std::string_view word = rest.substr(0, rest.find_first_of(" \t\r\n"));
      if (parse_percent(word)) break;
      words += (words.empty() ? "" : " ") + std::string{word};
      rest = without_blanks(rest.substr(word.size()));
    }
    return words;
  }

  const Tank& tank_;
  std::vector<std::string> names_;
  std::string_view text_;
  Goal goal_;
};

/// Writes the goal anew into the place where the old one stands.
class GoalRewriter {
 public:
  GoalRewriter(const JsonDocument& document, const JsonValue& old, const Tank& tank, const Goal& to)
      : text_(document.text()), old_(old), tank_(tank), to_(to) {}

  std::string write() {
    for (std::size_t i = 0; i < old_.members.size(); ++i) keep(i);
    for (const auto& [light, dial] : to_) {
      if (kept_.contains(light)) continue;
      add(JsonText::text(tank_.lights[light].name).on_one_line(), between(),
          JsonText::number(dial.percent()).on_one_line(), separator());
    }
    std::string text;
    for (const std::string_view part :
         {text_.substr(0, old_.offset + 1), head(), std::string_view{inside_}, tail(),
          text_.substr(old_.end - 1)}) {
      text += part;
    }
    return text;
  }

 private:
  std::string_view part(std::size_t begin, std::size_t end) const {
    return text_.substr(begin, end - begin);
  }

  void add(std::string_view key, std::string_view between, std::string_view value,
           std::string_view separator) {
    if (!is_first_) inside_ += separator;
    is_first_ = false;
    inside_ += key;
    inside_ += between;
    inside_ += value;
  }

  void keep(std::size_t i) {
    const JsonMember& member = old_.members[i];
    const auto entry = std::find_if(to_.begin(), to_.end(), [&](const auto& one) {
      return tank_.lights[one.first].name == member.key;
    });
    if (entry == to_.end()) return;
    const auto& [light, dial] = *entry;
    kept_.emplace(light, dial);
    const std::size_t key_end = end_of_key(member);
    const std::string value = says(member.value, light, dial)
                                  ? std::string{part(member.value.offset, member.value.end)}
                                  : JsonText::number(dial.percent()).on_one_line();
    add(part(member.key_offset, key_end), part(key_end, member.value.offset), value,
        i > 0 ? part(old_.members[i - 1].value.end, member.key_offset) : std::string_view{});
  }

  /// Whether what stands there already means that dial.
  bool says(const JsonValue& value, std::size_t light, Percent dial) const {
    if (value.kind == JsonValue::Kind::number) return value.number == dial.percent();
    return value.text == "highest" && dial == tank_.lights[light].dial.highest;
  }

  /// Past the quote that closes a key.
  std::size_t end_of_key(const JsonMember& member) const {
    std::size_t at = member.key_offset + 1;
    while (text_[at] != '"') at += text_[at] == '\\' ? 2U : 1U;
    return at + 1;
  }

  /// What stands between the brackets and the goal's lights.
  std::string_view head() const {
    if (old_.members.empty()) return {};
    return part(old_.offset + 1, old_.members.front().key_offset);
  }
  std::string_view tail() const {
    if (old_.members.empty()) return part(old_.offset + 1, old_.end - 1);
    return part(old_.members.back().value.end, old_.end - 1);
  }

  /// Between a light and its percentage.
  std::string_view between() const {
    if (old_.members.empty()) return ": ";
    const JsonMember& first = old_.members.front();
    return part(end_of_key(first), first.value.offset);
  }

  /// Between two lights: as the last two had it, or one a line where the first has a
  /// line of its own.
  std::string separator() const {
    const std::size_t count = old_.members.size();
    if (count > 1) {
      return std::string{part(old_.members[count - 2].value.end, old_.members.back().key_offset)};
    }
    const std::string_view blank = head();
    return "," + (blank.find('\n') == std::string_view::npos ? " " : std::string{blank});
  }

  std::string_view text_;
  const JsonValue& old_;
  const Tank& tank_;
  const Goal& to_;
  Goal kept_;
  std::string inside_;
  bool is_first_ = true;
};

const JsonValue* find_member(const JsonValue& object, std::string_view key) {
  for (const JsonMember& member : object.members) {
    if (member.key == key) return &member.value;
  }
  return nullptr;
}

tl::unexpected<ReadFailure> refuse_file(const std::string& file, std::string what,
                                        std::string hint) {
  return tl::make_unexpected(ReadFailure{ReadFailure::Kind::content,
                                         {{{file, 0, 0, ""}, std::move(what), std::move(hint)}}});
}

}  // namespace

tl::expected<Goal, Finding> parse_goal(const Tank& tank, const std::string& text) {
  auto goal = GoalWords{tank, text}.read();
  if (goal) return std::move(*goal);
  return tl::make_unexpected(Finding{{tank.file, 0, 0, ""}, goal.error().what, goal.error().hint});
}

ReadResult<std::string> with_goal(const std::string& file, const std::string& text,
                                  const Tank& tank, const Goal& to) {
  const auto document = JsonDocument::parse(file, text);
  if (!document) return tl::make_unexpected(document.error());
  const JsonValue* ramp = find_member(document->root(), "ramp");
  const JsonValue* old = ramp == nullptr ? nullptr : find_member(*ramp, "to");
  if (old == nullptr || old->kind != JsonValue::Kind::object) {
    return refuse_file(file, "the file has no goal that could be replaced",
                       "write one into its \"ramp\", for example \"to\": {\"bars\": 85}");
  }
  return GoalRewriter{*document, *old, tank, to}.write();
}

tl::expected<void, ReadFailure> write_goal(const std::string& file, const std::string& text,
                                           const Tank& tank, const Goal& to) {
  const auto present = read_text_file(file);
  if (!present) return tl::make_unexpected(present.error());
  if (*present != text) {
    return refuse_file(file, "the file was changed meanwhile, so the new goal was not written",
                       "save it where it is open, and give the command again");
  }
  const auto made = with_goal(file, text, tank, to);
  if (!made) return tl::make_unexpected(made.error());
  if (*made == text) return {};
  return write_text_file(file, *made);
}

}  // namespace slowdawn
