#include "logbook/log_chain.hpp"

#include <bit>

namespace slowdawn {
namespace {

constexpr std::uint64_t offset_basis = 14695981039346656037U;
constexpr std::uint64_t prime = 1099511628211U;
constexpr std::size_t word_bytes = 8;

/// Up to eight bytes, the first one lowest, whatever the machine's own order.
constexpr std::uint64_t to_word(const char* bytes, std::size_t count) {
  std::uint64_t word = 0;
  for (std::size_t i = 0; i < count; ++i) {
    word |= std::uint64_t{static_cast<unsigned char>(bytes[i])} << (8 * i);
  }
  return word;
}

}  // namespace

LogChain LogChain::of_tank(std::string_view tank_name) {
  LogChain chain{offset_basis};
  chain.add_text(tank_name);
  return chain;
}

LogChain LogChain::from(std::int64_t digest) {
  return LogChain{std::bit_cast<std::uint64_t>(digest)};
}

void LogChain::add(const LogRow& row) {
  add_word(std::bit_cast<std::uint64_t>(row.seq));
  for (const std::string_view text : {row.made, row.date, row.kind, row.body, row.plan}) {
    add_text(text);
  }
  if (!row.record.empty()) add_text(row.record);
}

std::int64_t LogChain::digest() const { return std::bit_cast<std::int64_t>(state_); }

void LogChain::add_word(std::uint64_t word) {
  state_ = (state_ ^ word) * prime;
  state_ ^= state_ >> 32;
}

void LogChain::add_text(std::string_view text) {
  add_word(text.size());
  while (text.size() >= word_bytes) {
    add_word(to_word(text.data(), word_bytes));
    text.remove_prefix(word_bytes);
  }
  if (!text.empty()) add_word(to_word(text.data(), text.size()));
}

}  // namespace slowdawn
