// Comma-separated values, RFC 4180.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

/// Text as a cell, quoted where it must be. What steers a terminal is written as
/// to_safe_text does, save line ends (LF). Where it then begins with a character
/// that a spreadsheet would take for the start of a formula, an apostrophe goes
/// before it.
std::string csv_text_cell(std::string_view text);

/// The shortest text that reads back as the same number.
std::string csv_number_cell(double value);

/// "true" or "false".
std::string csv_flag_cell(bool value);

/// A line of cells, ended by CR LF.
std::string csv_record(const std::vector<std::string>& cells);

}  // namespace slowdawn
