// How --help is laid out.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace slowdawn {

/// The library's help, with one word for each value, the words after a command
/// as they are typed, and what excludes each other in words; fits 80 columns.
class HelpFormatter : public CLI::Formatter {
 public:
  HelpFormatter();
  std::string make_option_name(const CLI::Option* option, bool is_positional) const override;
  std::string make_option_opts(const CLI::Option* option) const override;
  std::string make_option_desc(const CLI::Option* option) const override;
  std::string make_option_usage(const CLI::Option* option) const override;
};

/// The options that cannot be given together with this one: "--csv, --even";
/// empty where there are none.
std::string excluded_options(const CLI::Option& option);

}  // namespace slowdawn
