#include "cli/completion.hpp"

#include <algorithm>
#include <filesystem>
#include <set>
#include <slowdawn/present/text.hpp>

#include "cli/command_table.hpp"
#include "cli/log_session.hpp"
#include "cli/value_words.hpp"

namespace slowdawn {
namespace {

namespace fs = std::filesystem;

/// What the words before the one that is typed have come to.
struct TypedWords {
  const CLI::App* command = nullptr;
  /// The option whose value comes next.
  const CLI::Option* waiting = nullptr;
  std::vector<const CLI::Option*> given;
  std::vector<std::string> positionals;
  std::string profiles_folder;
  /// After "--".
  bool has_no_more_options = false;
  bool is_wrong = false;
};

const CLI::App* find_command(const CLI::App& app, const std::string& name) {
  const auto commands =
      app.get_subcommands([&](const CLI::App* one) { return one->get_name() == name; });
  return commands.empty() ? nullptr : commands.front();
}

void take_value(TypedWords& typed, const CLI::Option& option, const std::string& value) {
  if (option.check_lname("profiles")) typed.profiles_folder = value;
}

void take_option(TypedWords& typed, const std::string& word) {
  const bool is_long = word.starts_with("--");
  const std::size_t equals = is_long ? word.find('=') : std::string::npos;
  const std::string name = is_long ? word.substr(0, equals) : word.substr(0, 2);
  const CLI::Option* option = typed.command->get_option_no_throw(name);
  if (option == nullptr) return;
  typed.given.push_back(option);
  if (!takes_value(*option)) return;
  if (equals != std::string::npos) {
    take_value(typed, *option, word.substr(equals + 1));
  } else if (is_long || word.size() == 2) {
    typed.waiting = option;
  }
}

TypedWords read_words(const CLI::App& app, const std::vector<std::string>& words) {
  TypedWords typed;
  for (const std::string& word : words) {
    if (typed.command == nullptr) {
      if (word.starts_with("-")) continue;
      typed.command = find_command(app, word);
      typed.is_wrong = typed.command == nullptr;
      if (typed.is_wrong) return typed;
    } else if (typed.waiting != nullptr) {
      take_value(typed, *typed.waiting, word);
      typed.waiting = nullptr;
    } else if (typed.has_no_more_options || word == "-" || !word.starts_with("-")) {
      typed.positionals.push_back(word);
    } else if (word == "--") {
      typed.has_no_more_options = true;
    } else {
      take_option(typed, word);
    }
  }
  return typed;
}

std::string on_one_line(std::string text) {
  std::replace(text.begin(), text.end(), '\n', ' ');
  return text;
}

/// Whether a name can be typed and shown as it is.
bool is_typable(const std::string& name) { return !name.empty() && to_safe_text(name) == name; }

bool is_name_word(const std::string& word) {
  return word == "GROUP" || word == "SPOT" || word == "LIGHT";
}

/// Gathers candidates for one place of a command.
class Gatherer {
 public:
  Gatherer(const TypedWords& typed, std::string current)
      : typed_(typed), current_(std::move(current)) {
    if (typed.command == nullptr) return;
    pattern_ = positional_words(*typed.command);
    for (const std::string& word : typed.positionals) {
      const bool is_tank =
          pattern_.takes_tank && (pattern_.words.empty() || word.ends_with(".json"));
      if (is_tank) {
        tank_ = word;
      } else {
        names_.push_back(word);
      }
    }
  }

  Completion take() { return std::move(found_); }

  void add_commands(const CLI::App& app) {
    for (const CLI::App* command : app.get_subcommands({})) {
      add(command->get_name(), command->get_description());
    }
  }

  /// Long names alone: they say what they do.
  void add_options(const CLI::App& command) {
    for (const CLI::Option* option : command.get_options()) {
      if (is_barred(*option)) continue;
      for (const std::string& name : option->get_lnames()) {
        add("--" + name, on_one_line(option->get_description()));
      }
    }
  }

  void add_positionals() {
    const std::string word = pattern_.at(names_.size());
    if (!word.empty()) add_values(word, "");
    if (pattern_.repeats) leave_out(names_);
    if (!pattern_.takes_tank || !tank_.empty()) return;
    // Where something else is expected, files would be noise before a letter is
    // typed; but a name whose tank is not known yet needs one.
    const bool lacks_tank = is_name_word(word) && !read_named_tank();
    if (word.empty() || lacks_tank || !current_.empty()) add_tank_files();
  }

  /// before: what stands in the same word before the value ("--pace=").
  void add_values(const std::string& word, const std::string& before) {
    using Paths = Completion::Paths;
    if (word == "FILE" || word == "PATH" || word == "LOG") found_.paths = Paths::files;
    if (word == "FOLDER") found_.paths = Paths::folders;
    if (word == "TANK") add_tank_files();
    for (const std::string& choice : choices_of(word)) add(before + choice, "");
    if (word == "PROFILE") add_all(read_shelf().names(), before, "profile");
    if (!is_name_word(word)) return;
    const auto tank = read_named_tank();
    if (!tank) return;
    if (word == "GROUP") add_all(group_names(*tank), before, "group");
    if (word == "SPOT") add_all(spot_names(*tank), before, "spot");
    if (word == "LIGHT") add_all(light_names(*tank), before, "light");
  }

 private:
  /// Whether an option is given already, or one that excludes it.
  bool is_barred(const CLI::Option& option) const {
    return std::any_of(typed_.given.begin(), typed_.given.end(), [&](const CLI::Option* given) {
      const std::set<CLI::Option*> excluded = given->get_excludes();
      const bool is_once = option.get_items_expected_max() <= 1;
      return (given == &option && is_once) ||
             std::any_of(excluded.begin(), excluded.end(),
                         [&](const CLI::Option* other) { return other == &option; });
    });
  }

  void add(std::string text, std::string about) {
    found_.candidates.push_back({std::move(text), std::move(about)});
  }

  void add_all(const std::vector<std::string>& names, const std::string& before,
               const std::string& about) {
    for (const std::string& name : names) {
      // A name that looks like an option or a tank file would be taken for one.
      const bool is_taken_for_option =
          before.empty() && name.starts_with("-") && !typed_.has_no_more_options;
      if (!is_typable(name) || is_taken_for_option || name.ends_with(".json")) continue;
      add(before + name, about);
    }
  }

  void leave_out(const std::vector<std::string>& given) {
    std::erase_if(found_.candidates, [&](const Candidate& one) {
      return std::find(given.begin(), given.end(), one.text) != given.end();
    });
  }

  ProfileShelf read_shelf() const {
    ProfileShelf shelf = ProfileShelf::built_in();
    if (!typed_.profiles_folder.empty()) {
      // What cannot be read adds nothing.
      static_cast<void>(shelf.add_folder(typed_.profiles_folder));
    }
    return shelf;
  }

  std::optional<Tank> read_named_tank() const {
    const auto file = choose_tank_file(tank_);
    std::error_code problem;
    // A pipe would keep the shell waiting.
    if (!file || !fs::is_regular_file(*file, problem)) return std::nullopt;
    auto tank = read_tank(*file, read_shelf());
    if (!tank) return std::nullopt;
    return std::move(*tank);
  }

  void add_tank_files() {
    // The shell knows what a "~" or a "$" at the beginning stands for.
    if (current_.starts_with("~") || current_.starts_with("$")) {
      found_.paths = Completion::Paths::files;
      return;
    }
    const std::size_t slash = current_.rfind('/');
    const std::string folder = slash == std::string::npos ? "" : current_.substr(0, slash + 1);
    const std::string begin = current_.substr(folder.size());
    std::vector<std::string> tanks;
    std::vector<std::string> folders;
    std::error_code problem;
    for (fs::directory_iterator entry{folder.empty() ? "." : folder, problem}, end;
         !problem && entry != end; entry.increment(problem)) {
      const std::string name = entry->path().filename().string();
      if (!name.starts_with(begin) || !is_typable(name)) continue;
      if (name.starts_with(".") && begin.empty()) continue;
      std::error_code unknown;
      if (entry->is_directory(unknown)) {
        folders.push_back(name);
      } else if (name.ends_with(".tank.json")) {
        tanks.push_back(name);
      }
    }
    std::sort(tanks.begin(), tanks.end());
    std::sort(folders.begin(), folders.end());
    for (const std::string& name : tanks) add(folder + name, "tank file");
    // Where a tank lies before us nobody looks into folders unasked.
    if (current_.empty() && !found_.candidates.empty()) return;
    for (const std::string& name : folders) {
      found_.candidates.push_back({folder + name + "/", "folder", true});
    }
  }

  const TypedWords& typed_;
  std::string current_;
  PositionalWords pattern_;
  /// The words before, apart from the tank file.
  std::vector<std::string> names_;
  std::string tank_;
  Completion found_;
};

}  // namespace

Completion complete_words(const CLI::App& app, const std::vector<std::string>& words) {
  if (words.empty()) return {};
  const std::string& current = words.back();
  const TypedWords typed = read_words(app, {words.begin(), words.end() - 1});
  if (typed.is_wrong) return {};
  const bool is_option = current.starts_with("-") && !typed.has_no_more_options;
  if (typed.command == nullptr) {
    Gatherer gatherer{typed, current};
    if (is_option) {
      gatherer.add_options(app);
    } else {
      gatherer.add_commands(app);
    }
    return gatherer.take();
  }
  if (typed.waiting != nullptr) {
    Gatherer gatherer{typed, current};
    gatherer.add_values(value_word(*typed.waiting), "");
    return gatherer.take();
  }
  const std::size_t equals = is_option ? current.find('=') : std::string::npos;
  if (equals != std::string::npos) {
    Gatherer gatherer{typed, current.substr(equals + 1)};
    const CLI::Option* option = typed.command->get_option_no_throw(current.substr(0, equals));
    if (option != nullptr) gatherer.add_values(value_word(*option), current.substr(0, equals + 1));
    return gatherer.take();
  }
  Gatherer gatherer{typed, current};
  if (is_option) {
    gatherer.add_options(*typed.command);
  } else {
    gatherer.add_positionals();
  }
  return gatherer.take();
}

}  // namespace slowdawn
