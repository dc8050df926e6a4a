#include <memory>
#include <slowdawn/tank/nearest_name.hpp>

#include "cli/commands.hpp"
#include "cli/value_words.hpp"

namespace slowdawn {
namespace {

/// In the order of the scripts below.
constexpr const char* shell_words = "bash|zsh|fish";

// The scripts know nothing of the commands: they ask the program. What was typed
// is handed over as text and what comes back is only ever inserted, never run.

constexpr const char* bash_script =
    R"script(# Completion of slowdawn for bash; slowdawn completion bash
_slowdawn() {
  local program=slowdawn kind text about
  [[ $1 == */* && -x $1 ]] && program=$1
  COMPREPLY=()
  while IFS=$'\t' read -r kind text about; do
    case $kind in
      word) COMPREPLY+=("$text") ;;
      folder) COMPREPLY+=("$text"); compopt -o nospace ;;
      files) compopt -o default ;;
      folders) compopt -o dirnames ;;
    esac
  done < <("$program" complete bash "${COMP_LINE:0:COMP_POINT}" "$2" 2>/dev/null </dev/null)
}
complete -F _slowdawn slowdawn
)script";

constexpr const char* zsh_script = R"script(#compdef slowdawn
# Completion of slowdawn for zsh; slowdawn completion zsh
_slowdawn() {
  local program=slowdawn kind text about wide paths=none
  local -a values shown folders
  [[ ${(Q)words[1]} == */* && -x ${(Q)words[1]} ]] && program=${(Q)words[1]}
  while IFS=$'\t' read -r kind text about; do
    case $kind in
      word)
        wide=$text
        (( $#text < 22 )) && wide=${(r:22:)text}
        values+=("$text"); shown+=("$wide${about:+ -- $about}") ;;
      folder) folders+=("$text") ;;
      *) paths=$kind ;;
    esac
  done < <("$program" complete words "${(@Q)words[2,CURRENT-1]}" "${(Q)PREFIX}" 2>/dev/null </dev/null)
  (( $#values )) && compadd -l -d shown -a values
  (( $#folders )) && compadd -S '' -a folders
  if [[ $paths != none ]]; then
    compset -P '--*='
    if [[ $paths == folders ]]; then _files -/; else _files; fi
  fi
}
if [[ $funcstack[1] == _slowdawn ]]; then _slowdawn "$@"; else compdef _slowdawn slowdawn; fi
)script";

constexpr const char* fish_script =
    R"script(# Completion of slowdawn for fish; slowdawn completion fish
function __slowdawn_ask
    set -l before (commandline -opc)
    set -l current (commandline -ct | string replace -r '^["\']' '')
    set -l program slowdawn
    string match -q '*/*' -- $before[1]; and test -x $before[1]; and set program $before[1]
    command $program complete words $before[2..-1] "$current" 2>/dev/null </dev/null
end
function __slowdawn_complete
    __slowdawn_ask | while read -l -d \t kind text about
        # fish would make the home of somebody of a name that begins with a tilde.
        string match -q '~*' -- $text; and continue
        contains -- $kind word folder; and printf '%s\t%s\n' $text $about
        test $kind = folders; and __fish_complete_directories
    end
end
complete -c slowdawn -f
complete -c slowdawn -a '(__slowdawn_complete)'
complete -c slowdawn -n '__slowdawn_ask | string match -q files' -F
)script";

}  // namespace

RunCommand add_completion_command(CLI::App& command) {
  struct Arguments {
    std::string shell;
    std::string file;
  };
  auto arguments = std::make_shared<Arguments>();
  command.add_option("SHELL", arguments->shell, "The shell to complete in")
      ->type_name(shell_words)
      ->required();
  add_output_option(command, arguments->file);
  command.footer(
      "Example: slowdawn completion bash\n"
      "  # Completion of slowdawn for bash; slowdawn completion bash\n"
      "  ...\n"
      "For this shell alone: source <(slowdawn completion bash), in fish\n"
      "slowdawn completion fish | source. For good: cmake --install puts them where\n"
      "each shell looks.");
  return [arguments](const Console& console) {
    const std::vector<std::string> shells = choices_of(shell_words);
    const char* const scripts[] = {bash_script, zsh_script, fish_script};
    for (std::size_t i = 0; i < shells.size(); ++i) {
      if (shells[i] != arguments->shell) continue;
      return write_output(console, {}, arguments->file, scripts[i], "Start a new shell.");
    }
    return report_usage(console, false, "there is no completion for \"" + arguments->shell + "\"",
                        hint_for_name(arguments->shell, shells));
  };
}

}  // namespace slowdawn
