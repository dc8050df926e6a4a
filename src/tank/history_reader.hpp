// Reads the history of a group: the light it had before, however it is known.
#pragma once

#include <slowdawn/tank/tank.hpp>

#include "tank/json_reader.hpp"
#include "tank/tank_names.hpp"

namespace slowdawn {

class HistoryReader {
 public:
  /// names: what a history may refer to in this tank. lights: of it; empty where one
  /// could not be read. files: where another tank comes from.
  HistoryReader(JsonReader& reader, const TankNames& names, const std::vector<TankLight>& lights,
                const ProfileShelf& profiles, const FileSource& files)
      : reader_(reader), names_(names), lights_(lights), profiles_(profiles), files_(files) {}

  /// Empty, with errors added, where it is not as it should be. The light of a
  /// spot here and of what is not known is still open (resolve_history).
  std::optional<History> read(const JsonNode& node);

 private:
  std::optional<History> read_kind(const JsonNode& node);
  std::optional<History> read_measured(const JsonNode& node);
  std::optional<History> read_told(const JsonNode& node);
  std::optional<History> read_spot_here(const JsonNode& node);
  std::optional<History> read_other_tank(const JsonNode& node);
  std::optional<History> read_reef(const JsonNode& node);
  std::optional<History> read_unknown(const JsonNode& node);
  bool read_error(const JsonNode& node, History& history);
  std::optional<std::map<std::size_t, Percent>> read_lit_dials(const JsonNode& node,
                                                               const DialledLights& of);
  std::optional<Tank> read_tank_of(const JsonNode& node);
  std::optional<std::map<std::size_t, Percent>> find_dials(const JsonNode& node, const Tank& other,
                                                           std::size_t spot);
  bool check_readings(const JsonNode& node, const Tank& other, std::size_t spot,
                      const std::map<std::size_t, Percent>& dials);

  JsonReader& reader_;
  const TankNames& names_;
  const std::vector<TankLight>& lights_;
  const ProfileShelf& profiles_;
  const FileSource& files_;
};

/// Fills in the light of a history that rests on this tank's readings, once they
/// are known: of a spot here, and of what is not known.
void resolve_history(const Tank& tank, Group& group);

}  // namespace slowdawn
