#pragma once
// Chemicals in the depot and on the vans, where the scenario limits them.

#include <vector>

#include "sim/ensemble/depot_stock.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Vans load whole packs until they hold as much as a van is loaded up to, so that an opened one stays; all load out of
/// the one depot. It orders in the evening (s, S): once depot and orders hold no more than the reorder level, so many
/// whole lots that they hold the season's first stock again or more.
class Stores {
 public:
  Stores(Supplies const& supplies, std::size_t vans);

  /// Whether any material can run short.
  [[nodiscard]] bool limited() const { return limited_; }
  /// What has arrived by the morning of `day`.
  void receive(int day);
  /// The vans that go out load in turn, a pack each, so that what is scarce is shared.
  void load(std::vector<std::size_t> const& vans);
  /// Infinite for what is not limited.
  [[nodiscard]] MaterialAmounts const& on_van(std::size_t van) const { return on_van_[van]; }
  /// At most what is on the van.
  void use(std::size_t van, MaterialAmounts const& amounts);
  void order(int day);

 private:
  Supplies const& supplies_;
  bool limited_ = false;
  std::vector<DepotStock> depot_;        // [material]
  std::vector<MaterialAmounts> on_van_;  // [van]
};

}  // namespace brinecast::sim
