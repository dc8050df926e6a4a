// The whole of a logbook as JSON, read back.
#pragma once

#include <slowdawn/logbook/logbook_file.hpp>

namespace slowdawn {

/// Reads what `slowdawn history --json` wrote.
/// file: for messages. text: the content.
/// Errors (content): no such JSON; entries whose numbers are not 1, 2, 3, ...;
///   an entry that is none of this program's.
ReadResult<std::vector<NewLogEntry>> parse_history(const std::string& file,
                                                   const std::string& text);

}  // namespace slowdawn
