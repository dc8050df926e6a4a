#include <algorithm>
#include <filesystem>
#include <slowdawn/tank/profile_shelf.hpp>
#include <slowdawn/tank/text_file.hpp>
#include <stdexcept>

#include "tank/built_in.hpp"
#include "tank/profile_reader.hpp"

namespace slowdawn {

const std::vector<std::string>& profile_figure_keys() {
  static const std::vector<std::string> keys{
      "light_class", "dose_band",     "peak_ceiling", "headroom_percent", "weekly_rise_percent",
      "tau_up_days", "tau_down_days", "carryover",    "floor_percent"};
  return keys;
}

const std::vector<std::string>& optional_profile_figure_keys() {
  static const std::vector<std::string> keys{"ek", "excitation_cap"};
  return keys;
}

ReadResult<Profile> parse_profile(const std::string& file, std::string text) {
  const auto document = JsonDocument::parse(file, std::move(text));
  if (!document) return tl::make_unexpected(document.error());
  JsonReader reader{*document};
  Profile profile{};
  read_profile(reader, reader.root(), ProfileForm::file, profile);
  const std::string stem = std::filesystem::path{file}.stem().string();
  if (!profile.name.empty() && profile.name != stem) {
    reader.error(*reader.root().find("name"),
                 "the profile is named \"" + profile.name + "\" but its file \"" + stem + "\"",
                 "give both the same name");
  }
  if (reader.has_errors()) return tl::make_unexpected(reader.take_failure());
  return profile;
}

std::string_view profile_schema() { return built_in_profile_schema(); }

ProfileShelf ProfileShelf::built_in() { return {}; }

tl::expected<void, ReadFailure> ProfileShelf::add_folder(const std::string& folder) {
  namespace fs = std::filesystem;
  const auto access_failure = [&](std::string what) {
    return tl::make_unexpected(
        ReadFailure{ReadFailure::Kind::access,
                    {{{folder, 0, 0, ""},
                      std::move(what),
                      "--profiles takes a folder that holds profile files, NAME.json"}}});
  };
  std::error_code problem;
  std::vector<std::string> files;
  for (fs::directory_iterator entry{folder, problem}, end; !problem && entry != end;
       entry.increment(problem)) {
    if (entry->path().extension() == ".json") files.push_back(entry->path().string());
  }
  if (problem) return access_failure("the folder cannot be read: " + problem.message());
  if (files.empty()) return access_failure("the folder holds no profile");
  std::sort(files.begin(), files.end());
  for (const std::string& file : files) {
    auto text = read_text_file(file);
    if (!text) return tl::make_unexpected(std::move(text.error()));
    if (auto added = add(file, std::move(*text)); !added) return added;
  }
  return {};
}

tl::expected<void, ReadFailure> ProfileShelf::add(const std::string& file, std::string text) {
  auto profile = parse_profile(file, text);
  if (!profile) return tl::make_unexpected(std::move(profile.error()));
  added_.insert_or_assign(profile->name, std::move(text));
  return {};
}

std::vector<std::string> ProfileShelf::names() const {
  std::vector<std::string> names;
  for (const BuiltInFile& file : built_in_profiles()) names.emplace_back(file.name);
  for (const auto& [name, text] : added_) names.push_back(name);
  std::sort(names.begin(), names.end());
  names.erase(std::unique(names.begin(), names.end()), names.end());
  return names;
}

std::optional<Profile> ProfileShelf::find(const std::string& name) const {
  auto text = find_text(name);
  if (!text) return std::nullopt;
  auto profile = parse_profile(name + ".json", std::move(*text));
  if (!profile) throw std::logic_error("the built-in profile " + name + " does not read");
  return std::move(*profile);
}

std::optional<std::string> ProfileShelf::find_text(const std::string& name) const {
  if (const auto added = added_.find(name); added != added_.end()) return added->second;
  for (const BuiltInFile& file : built_in_profiles()) {
    if (file.name == name) return std::string{file.text};
  }
  return std::nullopt;
}

}  // namespace slowdawn
