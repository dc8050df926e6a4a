// A digest over all entries, so that a change from outside is noticed.
#pragma once

#include <cstdint>
#include <string_view>

namespace slowdawn {

/// The columns of an entry as they stand in the file.
struct LogRow {
  std::int64_t seq;
  std::string_view made;
  std::string_view date;
  std::string_view kind;
  std::string_view body;
  std::string_view plan;
  /// Empty in what version 1 wrote, which had no such column.
  std::string_view record = {};
};

/// Each digest covers the one before it and every column with its length; the
/// record only where it has one, so that the digests of version 1 stay valid.
///
/// It guards against accidents (failing disks, other programs, half a copy) and
/// not against a forger, who can compute it as well; so it need not be
/// cryptographic, and SHA-1 would take longer than all the rest of reading.
/// It is FNV-1a over words of 64 bits, with the high bits folded into the low
/// ones after each. Every step can be undone when the word is known, so a change
/// within one word is noticed for certain, and any other but for a chance of
/// about 2^-64.
/// source: Fowler, Noll, Vo, "The FNV Non-Cryptographic Hash Algorithm", offset
///   basis and prime of 64 bits; the words and the fold: own derivation.
class LogChain {
 public:
  /// The chain of a logbook without entries.
  static LogChain of_tank(std::string_view tank_name);
  /// The chain that has come to this digest.
  static LogChain from(std::int64_t digest);
  void add(const LogRow& row);
  /// In the form in which SQLite keeps it.
  std::int64_t digest() const;

 private:
  explicit LogChain(std::uint64_t state) : state_(state) {}
  void add_word(std::uint64_t word);
  void add_text(std::string_view text);
  std::uint64_t state_;
};

}  // namespace slowdawn
