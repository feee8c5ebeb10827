#include "sim/rounds/search/population.hpp"

#include <algorithm>
#include <numeric>

namespace brinecast::sim::search {

namespace {

// The values of Vidal (2022), which are known to be robust.
constexpr std::size_t smallest_size = 25;
constexpr std::size_t generation_size = 40;
constexpr std::size_t elite_size = 4;
constexpr std::size_t near_count = 5;
constexpr double wanted_share_kept = 0.2;
constexpr double share_tolerance = 0.05;
constexpr std::size_t memory = 100;

}  // namespace

/// Share of visits with other neighbours on the same day (broken pairs distance), or on another day.
double Population::distance(Individual const& a, Individual const& b) const {
  std::size_t visits = 0;
  std::size_t different = 0;
  for (std::size_t link = 0; link < a.next.size(); ++link) {
    if (a.next[link] == absent_mark) continue;
    ++visits;
    if (b.next[link] == absent_mark) {
      ++different;
      continue;
    }
    if (a.next[link] != b.next[link] && a.next[link] != b.previous[link]) ++different;
    if (a.previous[link] == depot_mark && b.previous[link] != depot_mark && b.next[link] != depot_mark) ++different;
  }
  return visits == 0 ? 0.0 : static_cast<double>(different) / static_cast<double>(visits);
}

double Population::mean_distance_to_nearest(Member const& member) {
  std::size_t const count = std::min(near_count, member.others.size());
  if (count == 0) return 1.0;
  double sum = 0.0;
  for (std::size_t index = 0; index < count; ++index) sum += member.others[index].first;
  return sum / static_cast<double>(count);
}

void Population::rank(Members& members) const {
  std::size_t const size = members.size();
  if (size < 2) {
    if (size == 1) members.front()->standing = 0.0;
    return;
  }
  std::vector<std::pair<double, std::size_t>> by_diversity;
  for (std::size_t index = 0; index < size; ++index)
    by_diversity.emplace_back(-mean_distance_to_nearest(*members[index]), index);
  std::sort(by_diversity.begin(), by_diversity.end());
  double const weight = size <= elite_size ? 0.0 : 1.0 - static_cast<double>(elite_size) / static_cast<double>(size);
  for (std::size_t place = 0; place < size; ++place) {
    std::size_t const index = by_diversity[place].second;
    members[index]->standing =
        (static_cast<double>(index) + weight * static_cast<double>(place)) / static_cast<double>(size - 1);
  }
}

void Population::insert(Members& members, std::unique_ptr<Member> member) const {
  for (auto const& other : members) {
    double const apart = distance(member->individual, other->individual);
    auto put = [apart](Member& into, Member const* who) {
      auto const place = std::upper_bound(into.others.begin(), into.others.end(), apart,
                                          [](double value, auto const& entry) { return value < entry.first; });
      into.others.insert(place, {apart, who});
    };
    put(*member, other.get());
    put(*other, member.get());
  }
  auto const place = std::upper_bound(members.begin(), members.end(), member->cost,
                                      [](double cost, auto const& other) { return cost < other->cost; });
  members.insert(place, std::move(member));
}

void Population::drop(Members& members, std::size_t index) const {
  Member const* const gone = members[index].get();
  for (auto const& other : members)
    std::erase_if(other->others, [gone](auto const& entry) { return entry.second == gone; });
  members.erase(members.begin() + static_cast<std::ptrdiff_t>(index));
}

/// Doubles go first, then the worst standing; never the best.
void Population::drop_worst(Members& members) const {
  rank(members);
  std::size_t worst = 1;
  bool worst_is_double = false;
  double worst_standing = -1.0;
  for (std::size_t index = 1; index < members.size(); ++index) {
    bool const is_double =
        mean_distance_to_nearest(*members[index]) < 1e-9 || members[index]->others.front().first < 1e-9;
    if ((is_double && !worst_is_double) ||
        (is_double == worst_is_double && members[index]->standing > worst_standing)) {
      worst = index;
      worst_is_double = is_double;
      worst_standing = members[index]->standing;
    }
  }
  drop(members, worst);
}

void Population::add(Individual individual) {
  auto member = std::make_unique<Member>();
  member->cost = penalties_.cost_of(individual);
  Members& members = individual.feasible() ? feasible_ : infeasible_;
  member->individual = std::move(individual);
  insert(members, std::move(member));
  if (members.size() > smallest_size + generation_size)
    while (members.size() > smallest_size) drop_worst(members);
}

Individual const& Population::select() {
  rank(feasible_);
  rank(infeasible_);
  auto draw = [&]() -> Member const& {
    auto const index = static_cast<std::size_t>(random_.below(feasible_.size() + infeasible_.size()));
    return index < feasible_.size() ? *feasible_[index] : *infeasible_[index - feasible_.size()];
  };
  Member const& one = draw();
  Member const& other = draw();
  return one.standing < other.standing ? one.individual : other.individual;
}

void Population::clear() {
  feasible_.clear();
  infeasible_.clear();
}

void Population::note_limits_of(Individual const& individual) {
  auto note = [&](std::vector<char>& kept, bool value) {
    if (kept.size() < memory)
      kept.push_back(value ? 1 : 0);
    else
      kept[noted_ % memory] = value ? 1 : 0;
  };
  note(load_kept_, individual.excess_load == 0);
  note(duration_kept_, individual.excess_duration == 0);
  note(lateness_kept_, individual.lateness == 0);
  ++noted_;
}

void Population::adapt_penalties() {
  auto adapted = [](double penalty, std::vector<char> const& kept) {
    if (kept.empty()) return penalty;
    double const share =
        static_cast<double>(std::accumulate(kept.begin(), kept.end(), 0)) / static_cast<double>(kept.size());
    if (share < wanted_share_kept - share_tolerance) return std::min(penalty * 1.2, 1e9);
    if (share > wanted_share_kept + share_tolerance) return std::max(penalty * 0.85, 1e-3);
    return penalty;
  };
  set_penalties({.load = adapted(penalties_.load, load_kept_),
                 .duration = adapted(penalties_.duration, duration_kept_),
                 .lateness = adapted(penalties_.lateness, lateness_kept_)});
}

void Population::set_penalties(Penalties const& penalties) {
  penalties_ = penalties;
  for (auto const& member : infeasible_) member->cost = penalties_.cost_of(member->individual);
  std::stable_sort(infeasible_.begin(), infeasible_.end(),
                   [](auto const& a, auto const& b) { return a->cost < b->cost; });
}

}  // namespace brinecast::sim::search
