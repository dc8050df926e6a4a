// Reads one group of a tank file.
#pragma once

#include <slowdawn/tank/tank.hpp>

#include "tank/history_reader.hpp"
#include "tank/json_reader.hpp"
#include "tank/tank_names.hpp"

namespace slowdawn {

class GroupReader {
 public:
  /// names: what a group may refer to. lights: of the tank; empty where one could not
  /// be read. files: where another tank comes from, that
  /// a history names.
  GroupReader(JsonReader& reader, const ProfileShelf& profiles, const TankNames& names,
              const std::vector<TankLight>& lights, const FileSource& files)
      : reader_(reader),
        profiles_(profiles),
        profile_names_(profiles.names()),
        spots_(names.spots),
        histories_(reader, names, lights, profiles, files) {}

  /// Empty where it is no object; else with errors added for what is wrong.
  std::optional<Group> read(const JsonNode& node);

 private:
  void read_group_profile(const JsonNode& node, Group& group);
  void read_move(const JsonNode& node, Group& group);
  void read_via(const JsonNode& node, Group& group);
  void read_shade(const JsonNode& node, Group& group);

  JsonReader& reader_;
  const ProfileShelf& profiles_;
  Names profile_names_;
  const Names& spots_;
  HistoryReader histories_;
  /// Many groups share a profile; it is parsed once.
  std::map<std::string, std::optional<Profile>> known_profiles_;
};

}  // namespace slowdawn
