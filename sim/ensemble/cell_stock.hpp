#pragma once
// Spare cells of the company: what lies in the depot, what is under way, what the day's vans carry.

#include <algorithm>
#include <vector>

namespace brinecast::sim {

/// Cells are ordered one for one: each cell fitted, and each pool found to need one while none was left, orders one,
/// which arrives on the first morning at least `lead_d` days later. So stock and orders less the pools that wait always
/// make the stock of the start.
class CellStock {
 public:
  CellStock(int in_hand, double lead_d) : in_hand_(in_hand), lead_d_(lead_d) {}

  /// Takes in what has arrived by the morning of `day`.
  void receive(int day) {
    auto const arrived =
        std::partition(arrivals_d_.begin(), arrivals_d_.end(), [&](double arrival_d) { return arrival_d > day; });
    in_hand_ += static_cast<int>(arrivals_d_.end() - arrived);
    arrivals_d_.erase(arrived, arrivals_d_.end());
  }
  /// Puts one into a van; false when none is left.
  [[nodiscard]] bool take() {
    if (in_hand_ == 0) return false;
    --in_hand_;
    return true;
  }
  /// Back from a van in the evening.
  void put_back() { ++in_hand_; }
  void order(int day) { arrivals_d_.push_back(day + std::max(1.0, lead_d_)); }

  [[nodiscard]] int in_hand() const { return in_hand_; }
  [[nodiscard]] int under_way() const { return static_cast<int>(arrivals_d_.size()); }

 private:
  int in_hand_;
  double lead_d_;
  std::vector<double> arrivals_d_;
};

}  // namespace brinecast::sim
