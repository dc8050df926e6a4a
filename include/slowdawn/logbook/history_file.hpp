// The whole of a logbook as JSON, read back.
#pragma once

#include <slowdawn/logbook/logbook_file.hpp>

namespace slowdawn {

/// Reads what `slowdawn history --json` wrote.
/// file: for messages. text: the content.
/// Errors (content), each with its place and the number of its entry: no such JSON; a
///   key that is unknown or stands twice; numbers that are not 1, 2, 3, ...; an entry
///   without the day on which it was made, its plan or its record; days that do not
///   exist, fall, or lie after the day on which their entry was made; whatever the
///   command that writes such an entry would refuse of its tank.
ReadResult<std::vector<NewLogEntry>> parse_history(const std::string& file,
                                                   const std::string& text);

}  // namespace slowdawn
