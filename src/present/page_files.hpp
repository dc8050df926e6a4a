// Style, script and fixed passages of the pages: files of this folder that are
// built in; the definitions are made by CMake.
#pragma once

#include <string_view>

namespace slowdawn {

std::string_view page_css();
std::string_view page_js();
std::string_view sheet_css();
/// What a look may show, and what to do then.
std::string_view looks_html();
std::string_view cautions_html();
/// What to do when a coral looks ill, and the cautions that fit a sheet.
std::string_view sheet_notes_html();

}  // namespace slowdawn
