#pragma once
// Standard normal draws that are alike at near sites: a Gaussian field whose correlation falls as exp(-distance /
// length). Every draw of generated weather is a function of such normals (a Gaussian copula), so that each site keeps
// its own distributions while storms and heat are shared. Wilks, "Multisite generalization of a daily stochastic
// precipitation generation model", Journal of Hydrology 210, 1998 (from memory).

#include <cstdint>
#include <vector>

#include "sim/random/random.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// One draw of the field: what it feeds, when, and which of several.
struct FieldDraw {
  Purpose purpose = Purpose::weather_daily;
  std::uint32_t time = 0;
  std::uint32_t index = 0;
};

class SiteField {
 public:
  /// Sites in the order of their ids; length > 0.
  SiteField(std::vector<Site> const& sites, double correlation_length_m);

  [[nodiscard]] double normal(std::uint64_t seed, std::uint32_t replicate, SiteId site, FieldDraw const& draw) const;

 private:
  struct Share {
    std::uint32_t source = 0;
    double weight = 0.0;
  };
  std::vector<std::vector<Share>> shares_;  // [site]: rows of the Cholesky factor, what is tiny left out
};

}  // namespace brinecast::sim
