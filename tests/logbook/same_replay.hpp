// Whether two replays are the same to the last digit.
#pragma once

#include <gtest/gtest.h>

#include <slowdawn/logbook/replay.hpp>

namespace slowdawn::testing {

}  // namespace slowdawn::testing
