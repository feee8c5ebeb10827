#include "sim/ensemble/stores.hpp"

#include <cmath>
#include <limits>

namespace brinecast::sim {

namespace {

constexpr double crumb = 1e-9;  // of a pack: rounding, not a rest

}  // namespace

Stores::Stores(Supplies const& supplies, std::size_t vans) : supplies_(supplies) {
  MaterialAmounts on_board{};
  for (std::size_t m = 0; m < material_count; ++m) {
    MaterialSupply const& supply = supplies.materials[m];
    limited_ = limited_ || supply.limited();
    on_board[m] = supply.limited() ? 0.0 : std::numeric_limits<double>::infinity();
    depot_.emplace_back(supply.packs_in_stock.value_or(std::numeric_limits<int>::max()), supply.lead_days);
  }
  on_van_.assign(vans, on_board);
}

void Stores::receive(int day) {
  for (DepotStock& stock : depot_) stock.receive(day);
}

void Stores::load(std::vector<std::size_t> const& vans) {
  for (std::size_t m = 0; m < material_count; ++m) {
    MaterialSupply const& supply = supplies_.materials[m];
    if (!supply.limited()) continue;
    bool const endless = !supply.packs_in_stock;
    double const full = supply.van_packs() * supply.pack;
    for (bool loading = true; loading;) {
      loading = false;
      for (std::size_t const van : vans) {
        double& amount = on_van_[van][m];
        if (amount > full - crumb * supply.pack || (!endless && depot_[m].take(1) == 0)) continue;
        amount += supply.pack;
        loading = true;
      }
    }
  }
}

void Stores::use(std::size_t van, MaterialAmounts const& amounts) {
  for (std::size_t m = 0; m < material_count; ++m) {
    if (!supplies_.materials[m].limited()) continue;
    double const left = on_van_[van][m] - amounts[m];
    on_van_[van][m] = left > crumb * supplies_.materials[m].pack ? left : 0.0;
  }
}

void Stores::order(int day) {
  for (std::size_t m = 0; m < material_count; ++m) {
    MaterialSupply const& supply = supplies_.materials[m];
    if (!supply.packs_in_stock) continue;
    int const held = depot_[m].in_hand() + depot_[m].under_way();
    if (held > supply.reorder_packs() || held >= *supply.packs_in_stock) continue;
    double const lots = std::ceil((*supply.packs_in_stock - held) / supply.packs_per_order);
    depot_[m].order(day, static_cast<int>(std::lround(lots * supply.packs_per_order)));
  }
}

}  // namespace brinecast::sim
