#include "cli/new_questions.hpp"

#include <algorithm>
#include <filesystem>
#include <istream>
#include <map>
#include <ostream>

#include "cli/new_steps.hpp"

namespace slowdawn {
namespace {

/// The table, in the order of asking.
const std::vector<NewTankStep>& new_tank_steps() {
  static const std::vector<NewTankStep> steps = [] {
    std::vector<NewTankStep> all;
    for (const auto& part : {light_steps(), reading_steps(), coral_steps(), ramp_steps()}) {
      all.insert(all.end(), part.begin(), part.end());
    }
    return all;
  }();
  return steps;
}

const NewTankStep* find_next_step(const NewTank& state) {
  const auto& steps = new_tank_steps();
  const auto next = std::find_if(steps.begin(), steps.end(), [&](const NewTankStep& step) {
    return !state.answered.contains(step.key) && step.applies(state);
  });
  return next == steps.end() ? nullptr : &*next;
}

std::string trim_answer(const std::string& line) {
  const auto begin = line.find_first_not_of(" \t\r");
  if (begin == std::string::npos) return {};
  return line.substr(begin, line.find_last_not_of(" \t\r") - begin + 1);
}

class Interview {
 public:
  Interview(std::istream& in, std::ostream& out, const TextStyle& style)
      : in_(in), out_(out), style_(style) {}

  std::optional<NewTank> run(NewTank state) {
    for (const NewTankStep* step = nullptr; (step = find_next_step(state)) != nullptr;) {
      const Question question = step->ask(state);
      const auto answer = hear(*step, question);
      if (!answer || *answer == "quit") return std::nullopt;
      if (*answer == "undo") {
        take_back(state);
      } else {
        take(state, *step, question, *answer);
      }
    }
    if (!state.is_wanted) return std::nullopt;
    return state;
  }

 private:
  /// Empty at the end of the input.
  std::optional<std::string> hear(const NewTankStep& step, const Question& question) {
    if (heading_ != step.heading) {
      heading_ = step.heading;
      out_ << "\n" << emphasise(heading_, style_) << "\n";
      is_below_heading_ = true;
    }
    if (!question.why.empty() && explained_.insert(question.why).second) {
      out_ << (is_below_heading_ ? "" : "\n") << wrap(question.why, style_, "  ", "  ");
    }
    is_below_heading_ = false;
    out_ << question.shown;
    const auto given = given_.find(question.id);
    const std::string usual = given == given_.end() ? question.usual : given->second;
    // Room for the colon and the blank after it.
    TextStyle narrower = style_;
    narrower.width -= 2;
    std::string prompt =
        wrap(question.prompt + (usual.empty() ? "" : " [" + to_safe_text(usual) + "]"), narrower);
    prompt.back() = ':';
    out_ << prompt << " " << std::flush;
    std::string line;
    if (!std::getline(in_, line)) return std::nullopt;
    const std::string answer = trim_answer(line);
    return answer.empty() ? usual : answer;
  }

  void take(NewTank& state, const NewTankStep& step, const Question& question,
            const std::string& answer) {
    NewTank changed = state;
    const auto said = step.take(changed, answer);
    if (!said) {
      const Fault& fault = said.error();
      const std::string way_back =
          answer == "back" ? ". To take the last answer back, type undo" : "";
      out_ << wrap(to_safe_text(fault.what + ": " + fault.hint + way_back), style_, "  ! ", "    ");
      return;
    }
    if (!step.repeats) changed.answered.insert(step.key);
    past_.push_back(std::move(state));
    state = std::move(changed);
    given_[question.id] = answer;
    out_ << *said;
  }

  void take_back(NewTank& state) {
    if (past_.empty()) {
      out_ << "  ! There is no answer to take back yet.\n";
      return;
    }
    state = std::move(past_.back());
    past_.pop_back();
  }

  std::istream& in_;
  std::ostream& out_;
  const TextStyle& style_;
  std::string_view heading_;
  bool is_below_heading_ = false;
  std::set<std::string> explained_;
  /// The state before each answer.
  std::vector<NewTank> past_;
  /// Answers by their question, those taken back as well: Enter takes them again.
  std::map<std::string, std::string> given_;
};

}  // namespace

Result<bool> parse_yes_or_no(const std::string& text) {
  if (text == "yes" || text == "y") return true;
  if (text == "no" || text == "n") return false;
  return fault("\"" + text + "\" is neither yes nor no", "type yes or no, or y or n");
}

ReadResult<Tank> make_new_tank(const TankDraft& draft, const std::string& file,
                               const ProfileShelf& shelf) {
  auto tank = parse_tank(file, tank_draft_json(draft), shelf);
  if (tank && tank->plan_errors.empty()) return tank;
  ReadFailure failure =
      tank ? ReadFailure{ReadFailure::Kind::content, tank->plan_errors} : tank.error();
  for (Finding& finding : failure.findings) finding.place = {"slowdawn", 0, 0, ""};
  return tl::make_unexpected(std::move(failure));
}

bool is_taken(const std::string& file) {
  std::error_code problem;
  return std::filesystem::is_regular_file(file, problem) &&
         std::filesystem::file_size(file, problem) > 0;
}

std::optional<NewTank> ask_for_tank(std::istream& in, std::ostream& out,
                                    const NewTankSetting& setting, const Date& today) {
  out << wrap(
      "A tank file from your readings, one question at a time. Enter takes what stands in "
      "brackets, undo takes the last answer back, quit leaves. Nothing is written before the end.",
      setting.style);
  NewTank state{&setting, {}};
  state.draft.start = today;
  return Interview{in, out, setting.style}.run(std::move(state));
}

}  // namespace slowdawn
