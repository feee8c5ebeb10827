#include "sim/weather/site_field.hpp"

#include <algorithm>
#include <cmath>

#include "sim/scenario/earth.hpp"

namespace brinecast::sim {

SiteField::SiteField(std::vector<Site> const& sites, double correlation_length_m) {
  std::size_t const count = std::max<std::size_t>(1, sites.size());
  std::vector<std::vector<double>> factor(count, std::vector<double>(count, 0.0));
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double sum =
          i == j ? 1.0 : std::exp(-great_circle_m(sites[i].position, sites[j].position) / correlation_length_m);
      for (std::size_t k = 0; k < j; ++k) sum -= factor[i][k] * factor[j][k];
      if (i == j) {
        factor[i][i] = std::sqrt(std::max(0.0, sum));
      } else {
        // A site at the very place of an earlier one has nothing of its own: its column stays empty.
        factor[i][j] = factor[j][j] > 1e-9 ? sum / factor[j][j] : 0.0;
      }
    }
  }
  for (auto const& row : factor) {
    std::vector<Share> shares;
    double kept = 0.0;
    for (std::size_t j = 0; j < count; ++j) {
      if (std::fabs(row[j]) < 1e-4) continue;
      shares.push_back({static_cast<std::uint32_t>(j), row[j]});
      kept += row[j] * row[j];
    }
    for (auto& share : shares) share.weight /= std::sqrt(kept);
    shares_.push_back(std::move(shares));
  }
}

double SiteField::normal(std::uint64_t seed, std::uint32_t replicate, SiteId site, FieldDraw const& draw) const {
  double sum = 0.0;
  for (Share const& share : shares_[index_of(site)]) {
    sum += share.weight * normal_draw({.seed = seed,
                                       .replicate = replicate,
                                       .pool = share.source,
                                       .purpose = draw.purpose,
                                       .time = draw.time,
                                       .index = draw.index});
  }
  return sum;
}

}  // namespace brinecast::sim
