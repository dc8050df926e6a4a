#include <algorithm>
#include <cctype>
#include <slowdawn/tank/nearest_name.hpp>
#include <vector>

namespace slowdawn {
namespace {

std::string to_lower(std::string_view text) {
  std::string lower{text};
  for (char& c : lower) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return lower;
}

/// Optimal string alignment distance.
/// source: Damerau 1964, CACM 7:171, restricted form; common knowledge.
std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> cost(a.size() + 1,
                                             std::vector<std::size_t>(b.size() + 1, 0));
  for (std::size_t i = 0; i <= a.size(); ++i) cost[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) cost[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = cost[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      cost[i][j] = std::min({cost[i - 1][j] + 1, cost[i][j - 1] + 1, replaced});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) cost[i][j] = std::min(cost[i][j], cost[i - 2][j - 2] + 1);
    }
  }
  return cost[a.size()][b.size()];
}

}  // namespace

std::optional<std::string> find_nearest_name(std::string_view wrong,
                                             std::span<const std::string> candidates) {
  // A long name is no typing error of a short one, and the table stays small.
  constexpr std::size_t longest = 100;
  if (wrong.empty() || wrong.size() > longest) return std::nullopt;
  const std::string lower = to_lower(wrong);
  std::optional<std::string> nearest;
  std::size_t least = 3;
  for (const std::string& candidate : candidates) {
    if (candidate.size() > longest) continue;
    const std::string lower_candidate = to_lower(candidate);
    const bool lacks_unit = lower_candidate.starts_with(lower + "_");
    std::size_t distance = lacks_unit ? 1 : edit_distance(lower, lower_candidate);
    // Two edits turn "maker" into "water", and any two letters into any other.
    const std::size_t length = std::max(lower.size(), lower_candidate.size());
    const std::size_t most_edits = length >= 6 ? 2 : length >= 3 ? 1 : 0;
    if (!lacks_unit && distance > most_edits) continue;
    if (distance < least) {
      least = distance;
      nearest = candidate;
    }
  }
  return nearest;
}

std::string hint_for_name(std::string_view wrong, std::span<const std::string> candidates) {
  if (const auto nearest = find_nearest_name(wrong, candidates)) {
    return "did you mean \"" + *nearest + "\"?";
  }
  std::vector<std::string> names;
  for (const std::string& candidate : candidates) {
    const bool is_known = std::find(names.begin(), names.end(), candidate) != names.end();
    if (!candidate.empty() && !is_known) names.push_back(candidate);
  }
  if (names.empty()) return "there is none to choose from";
  std::string hint = "there is ";
  constexpr std::size_t most = 24;
  for (std::size_t i = 0; i < std::min(most, names.size()); ++i) {
    if (i > 0) hint += ", ";
    hint += "\"" + names[i] + "\"";
  }
  if (names.size() > most) hint += " and more";
  return hint;
}

}  // namespace slowdawn
