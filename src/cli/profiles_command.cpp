#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/nearest_name.hpp>

#include "cli/commands.hpp"

namespace slowdawn {
namespace {

struct ProfilesArguments {
  CommonArguments common;
  std::string name;
};

}  // namespace

RunCommand add_profiles_command(CLI::App& command) {
  auto arguments = std::make_shared<ProfilesArguments>();
  command.add_option("NAME", arguments->name, "One profile, with what each figure rests on")
      ->type_name("[PROFILE]");
  add_output_arguments(command, arguments->common);
  command.footer(
      "Example: slowdawn profiles\n"
      "  profile         class   dose band  ceiling  headroom  a week  tau up\n"
      "  acropora        high      4 to 28      700      30 %    15 %    12 d\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto shelf = load_profiles(console, arguments->common);
    if (!shelf) return shelf.error();
    const TextStyle style = style_of(console, arguments->common);
    const std::vector<std::string> names = shelf->names();
    if (arguments->name.empty()) {
      if (!json) {
        console.out << profile_list_text(*shelf, style);
        return done;
      }
      std::vector<Profile> profiles;
      profiles.reserve(names.size());
      for (const std::string& name : names) profiles.push_back(shelf->find(name).value());
      console.out << profiles_json(profiles);
      return done;
    }
    const auto profile = shelf->find(arguments->name);
    if (!profile) {
      return report_usage(console, json, "there is no profile \"" + arguments->name + "\"",
                          hint_for_name(arguments->name, names));
    }
    console.out << (json ? profiles_json({*profile}) : profile_text(*profile, style));
    return done;
  };
}

}  // namespace slowdawn
