#pragma once
// Whole packs of one supply in the depot: what lies there, what is under way.

#include <algorithm>
#include <vector>

namespace brinecast::sim {

class DepotStock {
 public:
  DepotStock(int in_hand, double lead_d) : in_hand_(in_hand), lead_d_(lead_d) {}

  /// Takes in what has arrived by the morning of `day`.
  void receive(int day) {
    auto const arrived =
        std::partition(orders_.begin(), orders_.end(), [&](Order const& order) { return order.arrival_d > day; });
    for (auto order = arrived; order != orders_.end(); ++order) in_hand_ += order->packs;
    orders_.erase(arrived, orders_.end());
  }
  /// Puts up to `wanted` into a van; how many there were.
  [[nodiscard]] int take(int wanted) {
    int const given = std::clamp(wanted, 0, in_hand_);
    in_hand_ -= given;
    return given;
  }
  /// Back from a van in the evening.
  void put_back(int packs) { in_hand_ += packs; }
  /// They arrive on the first morning that is the lead time, and at least a night, later.
  void order(int day, int packs) { orders_.push_back({day + std::max(1.0, lead_d_), packs}); }

  [[nodiscard]] int in_hand() const { return in_hand_; }
  [[nodiscard]] int under_way() const {
    int packs = 0;
    for (Order const& order : orders_) packs += order.packs;
    return packs;
  }

 private:
  struct Order {
    double arrival_d;
    int packs;
  };
  int in_hand_;
  double lead_d_;
  std::vector<Order> orders_;
};

}  // namespace brinecast::sim
