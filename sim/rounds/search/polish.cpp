#include <algorithm>

#include "sim/rounds/search/route_search.hpp"

namespace brinecast::sim::search {

namespace {

constexpr std::size_t longest_chain = 3;

/// Improves one order. Moves are judged in constant time by driving alone, which is exact while nobody waits or comes
/// late; only moves that could still gain by less waiting or lateness are worked out stop by stop.
class Polisher {
 public:
  Polisher(Tour const& tour, std::vector<int>& order) : tour_(tour), order_(order), size_(order.size()) {
    // Places 0 and size + 1 are start and end; driving is priced with the wages it takes.
    std::size_t const places = size_ + 2;
    weights_.resize(places * places);
    for (std::size_t from = 0; from < places; ++from)
      for (std::size_t to = 0; to < places; ++to) weights_[from * places + to] = driving(place(from), place(to));
    for (std::size_t index = 0; index < places; ++index) sequence_.push_back(index);
    for (std::size_t index = 0; index < size_; ++index)
      wages_of_work_ += tour_.duration_cost * stop(index + 1).service_duration;
    measure();
    cost_ = tour_cost(tour_, order_);
  }

  Amount run() {
    if (size_ < 2) return cost_;
    for (bool improved = true; improved;) {
      improved = turn_sections();
      improved = move_chains() || improved;
    }
    std::vector<int> const given = order_;
    for (std::size_t position = 1; position <= size_; ++position) order_[position - 1] = given[sequence_[position] - 1];
    return cost_;
  }

 private:
  [[nodiscard]] TourStop const& stop(std::size_t node) const {
    return tour_.stops[static_cast<std::size_t>(order_[node - 1])];
  }
  [[nodiscard]] std::size_t place(std::size_t node) const {
    if (node == 0) return tour_.start_place;
    return node == size_ + 1 ? tour_.end_place : stop(node).place;
  }
  [[nodiscard]] Amount driving(std::size_t from, std::size_t to) const {
    Amount const time = tour_.travel_duration.places == 0 ? 0 : tour_.travel_duration(from, to);
    return tour_.travel_cost(from, to) + tour_.duration_cost * time;
  }
  /// Driving between the nodes at two positions of the present order.
  [[nodiscard]] Amount weight(std::size_t from, std::size_t to) const {
    return weights_[sequence_[from] * (size_ + 2) + sequence_[to]];
  }

  void measure() {
    forwards_.assign(size_ + 2, 0);
    backwards_.assign(size_ + 2, 0);
    for (std::size_t position = 1; position < size_ + 2; ++position) {
      forwards_[position] = forwards_[position - 1] + weight(position - 1, position);
      backwards_[position] = backwards_[position - 1] + weight(position, position - 1);
    }
  }
  /// Driving over positions first ... last, either way.
  [[nodiscard]] Amount inside(std::size_t first, std::size_t last, bool turned) const {
    return turned ? backwards_[last] - backwards_[first] : forwards_[last] - forwards_[first];
  }

  [[nodiscard]] Amount cost_of(std::vector<std::size_t> const& sequence) const {
    Amount cost = 0;
    Amount clock = tour_.leaves;
    Amount work_and_driving = 0;
    for (std::size_t position = 1; position < sequence.size(); ++position) {
      std::size_t const from = sequence[position - 1];
      std::size_t const to = sequence[position];
      cost += weights_[from * (size_ + 2) + to];
      Amount const time = tour_.travel_duration.places == 0 ? 0 : tour_.travel_duration(place(from), place(to));
      clock += time;
      work_and_driving += time;
      if (to == size_ + 1) break;
      TourStop const& here = stop(to);
      clock = std::max(clock, here.opens);
      if (clock > here.closes) cost += tour_.lateness_cost * (clock - here.closes);
      clock += here.service_duration;
      work_and_driving += here.service_duration;
    }
    Amount const waited = clock - tour_.leaves - work_and_driving;
    return cost + wages_of_work_ + tour_.duration_cost * waited;
  }

  /// `change` is that of driving; the order itself comes from `rearrange`.
  template <class Rearrange>
  bool try_move(Amount change, Rearrange const& rearrange) {
    Amount const waiting_and_lateness = cost_ - wages_of_work_ - forwards_[size_ + 1];
    if (change >= waiting_and_lateness) return false;
    trial_ = sequence_;
    rearrange(trial_);
    Amount const new_cost = cost_of(trial_);
    if (new_cost >= cost_) return false;
    cost_ = new_cost;
    sequence_.swap(trial_);
    measure();
    return true;
  }

  bool turn_sections() {
    bool improved = false;
    for (std::size_t first = 1; first < size_; ++first)
      for (std::size_t last = first + 1; last <= size_; ++last) {
        Amount const change = weight(first - 1, last) + inside(first, last, true) + weight(first, last + 1) -
                              (forwards_[last + 1] - forwards_[first - 1]);
        improved = try_move(change,
                            [=](std::vector<std::size_t>& sequence) {
                              std::reverse(sequence.begin() + static_cast<std::ptrdiff_t>(first),
                                           sequence.begin() + static_cast<std::ptrdiff_t>(last) + 1);
                            }) ||
                   improved;
      }
    return improved;
  }

  /// Moves positions first ... last between two neighbouring positions elsewhere.
  bool move_chain(std::size_t first, std::size_t last, std::size_t after, bool turned) {
    Amount const change = weight(first - 1, last + 1) - weight(first - 1, first) - weight(last, last + 1) +
                          weight(after, turned ? last : first) + weight(turned ? first : last, after + 1) -
                          weight(after, after + 1) + inside(first, last, turned) - inside(first, last, false);
    return try_move(change, [=](std::vector<std::size_t>& sequence) {
      auto const chain = sequence.begin() + static_cast<std::ptrdiff_t>(first);
      auto const chain_end = sequence.begin() + static_cast<std::ptrdiff_t>(last) + 1;
      auto const target = sequence.begin() + static_cast<std::ptrdiff_t>(after) + 1;
      if (turned) std::reverse(chain, chain_end);
      if (after < first)
        std::rotate(target, chain, chain_end);
      else
        std::rotate(chain, chain_end, target);
    });
  }

  bool move_chains() {
    bool improved = false;
    for (std::size_t length = 1; length <= std::min(longest_chain, size_ - 1); ++length)
      for (std::size_t first = 1; first + length <= size_ + 1; ++first) {
        std::size_t const last = first + length - 1;
        for (std::size_t after = 0; after <= size_; ++after) {
          if (after + 1 >= first && after <= last) continue;
          improved = move_chain(first, last, after, false) || improved;
          if (length > 1) improved = move_chain(first, last, after, true) || improved;
        }
      }
    return improved;
  }

  Tour const& tour_;
  std::vector<int>& order_;
  std::size_t size_;
  std::vector<Amount> weights_;        // [node][node]
  std::vector<std::size_t> sequence_;  // [position] node; nodes are numbered by the order given
  std::vector<std::size_t> trial_;
  std::vector<Amount> forwards_, backwards_;  // [position] driving from the start, and back over the same stops
  Amount wages_of_work_ = 0;
  Amount cost_ = 0;
};

}  // namespace

Amount tour_cost(Tour const& tour, std::span<int const> order) {
  Amount cost = 0;
  Amount clock = tour.leaves;
  std::size_t place = tour.start_place;
  auto drive = [&](std::size_t to) {
    cost += tour.travel_cost(place, to);
    if (tour.travel_duration.places != 0) clock += tour.travel_duration(place, to);
    place = to;
  };
  for (int const index : order) {
    TourStop const& stop = tour.stops[static_cast<std::size_t>(index)];
    drive(stop.place);
    clock = std::max(clock, stop.opens);
    if (clock > stop.closes) cost += tour.lateness_cost * (clock - stop.closes);
    clock += stop.service_duration;
  }
  drive(tour.end_place);
  return cost + tour.duration_cost * (clock - tour.leaves);
}

Amount polish_route(Tour const& tour, std::vector<int>& order) { return Polisher(tour, order).run(); }

}  // namespace brinecast::sim::search
