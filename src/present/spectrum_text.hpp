// What the spectra of a tank's lights say, as text and JSON.
#pragma once

#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/tank.hpp>

#include "present/json_parts.hpp"

namespace slowdawn {

/// A table with its own heading; empty where no light has a spectrum.
std::string spectra_text(const Tank& tank, const TextStyle& style);
/// Adds "spectra" where a light has one.
void add_spectra(Json& json, const Tank& tank);

}  // namespace slowdawn
