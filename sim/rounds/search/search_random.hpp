#pragma once
// A stream of draws for one search: a function of its seed alone.

#include <array>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

#include "sim/random/random.hpp"

namespace brinecast::sim::search {

class SearchRandom {
 public:
  explicit SearchRandom(std::uint64_t seed) : seed_(seed) {}

  /// Uniform in [0, bound), bound in [1, 2^32): multiply-shift; its bias of at most bound / 2^32 does not matter here.
  int below(std::size_t bound) {
    return static_cast<int>((static_cast<std::uint64_t>(next()) * static_cast<std::uint64_t>(bound)) >> 32);
  }
  bool coin() { return (next() & 1U) != 0; }

  template <class T>
  void shuffle(std::vector<T>& items) {
    for (std::size_t left = items.size(); left > 1; --left)
      std::swap(items[left - 1], items[static_cast<std::size_t>(below(left))]);
  }

 private:
  std::uint32_t next() {
    if (used_ == bits_.size()) {
      bits_ = random_bits({.seed = seed_, .purpose = Purpose::round_search, .time = block_, .index = high_block_});
      if (++block_ == 0) ++high_block_;
      used_ = 0;
    }
    return bits_[used_++];
  }

  std::uint64_t seed_;
  std::uint32_t block_ = 0;
  std::uint32_t high_block_ = 0;
  std::array<std::uint32_t, 4> bits_{};
  std::size_t used_ = 4;
};

}  // namespace brinecast::sim::search
