#include <slowdawn/tank/profile_search.hpp>

#include <algorithm>
#include <set>
#include <slowdawn/tank/nearest_name.hpp>

#include "tank/fold_case.hpp"

namespace slowdawn {
namespace {

/// Words in small letters and without the s of a plural: "Bird's nests" is "bird",
/// "nest".
std::vector<std::string> to_search_words(std::string_view text) {
  std::vector<std::string> words(1);
  for (const char c : fold_case(text)) {
    const bool is_letter = (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80;
    if (is_letter) {
      words.back() += c;
    } else if (c != '\'' && !words.back().empty()) {
      words.emplace_back();
    }
  }
  if (words.back().empty()) words.pop_back();
  for (std::string& word : words) {
    if (word.size() > 3 && word.ends_with('s')) word.pop_back();
  }
  return words;
}

struct SearchPhrase {
  std::string text;
  std::string profile;
};

/// Every name by which a profile may be called.
std::vector<SearchPhrase> list_phrases(const ProfileShelf& shelf) {
  std::vector<SearchPhrase> phrases;
  const std::vector<std::string> names = shelf.names();
  for (const std::string& name : names) {
    phrases.push_back({name, name});
    const Profile profile = shelf.find(name).value();
    for (const std::string& taxon : profile.covers) {
      phrases.push_back({taxon, name});
      const auto blank = taxon.find(' ');
      if (blank != std::string::npos) phrases.push_back({taxon.substr(0, blank), name});
    }
  }
  for (const auto& [trade_name, profile] : trade_names()) {
    if (std::find(names.begin(), names.end(), profile) != names.end()) {
      phrases.push_back({trade_name, profile});
    }
  }
  return phrases;
}

bool stands_in(const std::vector<std::string>& phrase, const std::vector<std::string>& words) {
  return !phrase.empty() &&
         std::search(words.begin(), words.end(), phrase.begin(), phrase.end()) != words.end();
}

}  // namespace

const std::vector<std::pair<std::string, std::string>>& trade_names() {
  static const std::vector<std::pair<std::string, std::string>> names{
      {"acan", "lobophylliid"},      {"acro", "acropora"},         {"bird nest", "pocilloporid"},
      {"birdsnest", "pocilloporid"}, {"brain", "lobophylliid"},    {"brain", "merulinid"},
      {"bubble", "plerogyra"},       {"candy cane", "merulinid"},  {"chalice", "pectiniid"},
      {"duncan", "dendrophylliid"},  {"elegance", "lobophylliid"}, {"elephant ear", "corallimorph"},
      {"favia", "merulinid"},        {"flowerpot", "goniopora"},   {"frogspawn", "euphylliid"},
      {"galaxy", "galaxea"},         {"gsp", "gorgonian"},         {"hammer", "euphylliid"},
      {"kenya tree", "leather"},     {"lobo", "lobophylliid"},     {"monti", "montipora"},
      {"mushroom", "corallimorph"},  {"paly", "zoanthid"},         {"sea fan", "gorgonian"},
      {"staghorn", "acropora"},      {"star polyp", "gorgonian"},  {"toadstool", "leather"},
      {"trumpet", "merulinid"},      {"zoa", "zoanthid"},
  };
  return names;
}

std::vector<std::string> search_profiles(const ProfileShelf& shelf, std::string_view text) {
  if (shelf.find(std::string{text})) return {std::string{text}};
  const std::vector<std::string> words = to_search_words(text);
  std::set<std::string> found;
  std::size_t most_words = 0;
  for (const SearchPhrase& phrase : list_phrases(shelf)) {
    const std::vector<std::string> phrase_words = to_search_words(phrase.text);
    if (phrase_words.size() < most_words || !stands_in(phrase_words, words)) continue;
    if (phrase_words.size() > most_words) found.clear();
    most_words = phrase_words.size();
    found.insert(phrase.profile);
  }
  return {found.begin(), found.end()};
}

std::string hint_for_profile(const ProfileShelf& shelf, std::string_view text) {
  std::vector<std::string> candidates;
  for (const SearchPhrase& phrase : list_phrases(shelf)) candidates.push_back(phrase.text);
  if (const auto nearest = find_nearest_name(text, candidates)) {
    return "did you mean \"" + *nearest + "\"?";
  }
  for (const std::string& word : to_search_words(text)) {
    if (const auto nearest = find_nearest_name(word, candidates)) {
      return "did you mean \"" + *nearest + "\"?";
    }
  }
  return hint_for_name("", shelf.names());
}

}  // namespace slowdawn
