#include "tank/group_reader.hpp"

#include <algorithm>

#include "tank/profile_reader.hpp"

namespace slowdawn {

std::optional<Group> GroupReader::read(const JsonNode& node) {
  static const Names keys{"name",          "profile", "spot",  "to_spot", "when",    "via",
                          "min_stay_days", "fixed",   "shade", "history", "override"};
  if (!reader_.expect_object(node, "a group", keys)) return std::nullopt;
  Group group{};
  if (const auto name = node.find("name")) group.name = name->value().text;
  if (const auto found = reader_.require(node, "profile", "\"profile\": \"acropora\"")) {
    read_group_profile(*found, group);
  }
  if (const auto found = node.find("override")) {
    read_profile(reader_, *found, ProfileForm::over_another, group.profile);
  }
  const auto spot = reader_.require(node, "spot", "\"spot\": \"crest\"");
  if (spot) group.spot = reader_.read_name(*spot, "spot", spots_).value_or(0);
  read_move(node, group);
  if (const auto found = node.find("shade")) read_shade(*found, group);
  if (const auto found = node.find("history")) group.history = histories_.read(*found);
  return group;
}

void GroupReader::read_group_profile(const JsonNode& node, Group& group) {
  if (node.is(JsonValue::Kind::object)) {
    group.profile.name = "in place";
    read_profile(reader_, node, ProfileForm::in_place, group.profile);
    return;
  }
  const auto number = reader_.read_name(node, "profile", profile_names_);
  if (!number) return;
  group.profile_name = profile_names_[*number];
  auto& known = known_profiles_[group.profile_name];
  if (!known) known = profiles_.find(group.profile_name);
  group.profile = known.value();
}

void GroupReader::read_move(const JsonNode& node, Group& group) {
  const auto to_spot = node.find("to_spot");
  if (to_spot) group.to_spot = reader_.read_name(*to_spot, "spot", spots_);
  if (const auto found = node.find("fixed")) {
    group.is_fixed = reader_.read_flag(*found).value_or(false);
    if (group.is_fixed && to_spot) {
      reader_.error(*to_spot, "a fixed group cannot move", "leave out \"fixed\" or \"to_spot\"");
    }
  }
  if (const auto found = node.find("when")) {
    static const Names names{"start", "ready"};
    const auto number = reader_.read_name(*found, "time to move", names);
    group.moves_when_ready = number == 1;
    if (!to_spot) {
      reader_.error(*found, "\"when\" needs a spot to move to", "add \"to_spot\": \"...\"");
    } else if (group.moves_when_ready && group.to_spot == group.spot) {
      reader_.error(*to_spot, "the group is at this spot already",
                    "give the spot it is to move to, or leave out \"to_spot\" and \"when\"");
    }
  }
  const auto via = node.find("via");
  const auto stay = node.find("min_stay_days");
  for (const auto& found : {via, stay}) {
    if (!found || group.moves_when_ready) continue;
    reader_.error(*found, "spots in between need a move that is planned",
                  "add \"when\": \"ready\" and \"to_spot\"");
  }
  if (via) read_via(*via, group);
  if (stay) group.min_stay_days = reader_.read_integer(*stay, {1, 60, "days"}).value_or(7);
}

void GroupReader::read_via(const JsonNode& node, Group& group) {
  if (node.is(JsonValue::Kind::text) && node.value().text == "any") {
    group.via_any = true;
    return;
  }
  const auto items = reader_.read_array(node, "spots, or \"any\"");
  if (!items) return;
  for (const JsonNode& item : *items) {
    const auto spot = reader_.read_name(item, "spot", spots_);
    if (!spot) continue;
    const bool is_known = std::find(group.via.begin(), group.via.end(), *spot) != group.via.end();
    if (is_known || *spot == group.spot || spot == group.to_spot) {
      reader_.error(item, "\"" + spots_[*spot] + "\" stands twice on this group's way",
                    "name only spots between \"spot\" and \"to_spot\", each once");
      continue;
    }
    group.via.push_back(*spot);
  }
}

void GroupReader::read_shade(const JsonNode& node, Group& group) {
  static const Names keys{"transmission", "until"};
  if (!reader_.expect_object(node, "a shade", keys)) return;
  const auto found = reader_.require(node, "transmission", "\"transmission\": 0.6");
  if (!found) return;
  const NumberRange range{0.05, 0.99, "",
                          "it is the share of the light that the mesh lets through: PPFD under it "
                          "divided by PPFD beside it"};
  std::vector<JsonNode> items{*found};
  if (found->is(JsonValue::Kind::array)) items = found->items();
  if (items.empty()) {
    reader_.error(*found, "the list of meshes is empty", "leave \"shade\" out");
  }
  for (const JsonNode& item : items) {
    const auto share = reader_.read_number(item, range);
    if (!share) continue;
    if (!group.shades.empty() && *share <= group.shades.back()) {
      reader_.error(item, "the meshes do not get lighter from one to the next",
                    "begin with the one that is on first, for example [0.5, 0.6, 0.72, 0.85]");
    }
    group.shades.push_back(*share);
  }
  if (const auto until = node.find("until")) {
    static const Names names{"ready"};
    reader_.read_name(*until, "end of a shade", names);
  }
}

}  // namespace slowdawn
