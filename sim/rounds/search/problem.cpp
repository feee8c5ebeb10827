#include <fmt/format.h>

#include <algorithm>

#include "sim/rounds/search/route_search.hpp"

namespace brinecast::sim::search {

namespace {

/// Sums over a whole plan must stay whole numbers in double precision too.
constexpr Amount largest_amount = Amount{1} << 44;

bool too_large(Amount amount) { return amount > largest_amount && amount < unlimited; }

void find_faults(Problem const& problem, Customer const& customer, std::size_t index,
                 std::vector<std::string>& faults) {
  auto fault = [&](std::string const& text) { faults.push_back(fmt::format("customer {}: {}", index, text)); };
  if (customer.place >= problem.travel_cost.places) fault("place outside the travel table");
  if (customer.demand < 0 || too_large(customer.demand)) fault("demand below 0 or too large");
  if (customer.service_duration < 0 || too_large(customer.service_duration)) fault("service below 0 or too large");
  if (customer.opens < 0 || customer.opens > customer.closes) fault("opens below 0 or closes before it opens");
  if (!customer.kind_cost.empty() && customer.kind_cost.size() != problem.kinds.size())
    fault("kind_cost needs one entry for each kind of vehicle");
  for (Amount const extra : customer.kind_cost)
    if (extra < 0 || (extra > largest_amount && extra < forbidden)) fault("kind_cost below 0 or too large");
  if (customer.patterns.empty()) fault("no day pattern");
  for (DayPattern const& pattern : customer.patterns) {
    if (problem.days < 64 && pattern.days >> problem.days != 0) fault("day pattern reaches beyond the period");
    if (pattern.cost < 0 || too_large(pattern.cost)) fault("pattern cost below 0 or too large");
  }
  for (int day = 0; day < problem.days; ++day) {
    bool wanted = false;
    for (DayPattern const& pattern : customer.patterns) wanted = wanted || (pattern.days >> day & 1) != 0;
    if (!wanted) continue;
    bool served = false;
    for (std::size_t kind = 0; kind < problem.kinds.size(); ++kind)
      served = served || ((problem.kinds[kind].days >> day & 1) != 0 && problem.kinds[kind].count > 0 &&
                          (customer.kind_cost.size() <= kind || customer.kind_cost[kind] < forbidden));
    if (!served) fault(fmt::format("a pattern asks for day {}, on which no vehicle may serve it", day));
  }
}

}  // namespace

std::vector<std::string> faults_of(Problem const& problem) {
  std::vector<std::string> faults;
  if (problem.days < 1 || problem.days > 64) faults.push_back(fmt::format("{} days, allowed 1 to 64", problem.days));
  if (problem.travel_cost.places == 0) faults.emplace_back("the travel cost table is empty");
  if (problem.travel_duration.places != 0 && problem.travel_duration.places != problem.travel_cost.places)
    faults.emplace_back("the travel tables have different sizes");
  if (problem.kinds.empty()) faults.emplace_back("no kind of vehicle");
  if (!faults.empty()) return faults;

  for (std::size_t index = 0; index < problem.kinds.size(); ++index) {
    VehicleKind const& kind = problem.kinds[index];
    auto fault = [&](std::string const& text) { faults.push_back(fmt::format("vehicle kind {}: {}", index, text)); };
    if (kind.start_place >= problem.travel_cost.places || kind.end_place >= problem.travel_cost.places)
      fault("start or end outside the travel table");
    if (kind.count < 0) fault("count below 0");
    if (kind.earliest_start < 0 || kind.latest_end < kind.earliest_start) fault("the shift ends before it starts");
    for (Amount const amount : {kind.capacity, kind.longest_duration, kind.regular_duration, kind.duration_cost,
                                kind.overtime_cost, kind.fixed_cost})
      if (amount < 0 || too_large(amount)) fault("an amount is below 0 or too large");
  }
  // Driving is priced once, with its wages, and must fit the tables of the search.
  Amount dearest = 0;
  Amount longest = 0;
  std::size_t const entries = problem.travel_cost.places * problem.travel_cost.places;
  for (std::size_t entry = 0; entry < entries; ++entry) {
    dearest = std::max<Amount>(dearest, problem.travel_cost.values[entry]);
    if (problem.travel_duration.places != 0) longest = std::max<Amount>(longest, problem.travel_duration.values[entry]);
    if (problem.travel_cost.values[entry] < 0 ||
        (problem.travel_duration.places != 0 && problem.travel_duration.values[entry] < 0)) {
      faults.emplace_back("a travel table has an entry below 0");
      break;
    }
  }
  for (std::size_t index = 0; index < problem.kinds.size(); ++index) {
    Amount const room = std::numeric_limits<std::int32_t>::max() - dearest;
    if (longest > 0 && problem.kinds[index].duration_cost > room / longest)
      faults.push_back(
          fmt::format("vehicle kind {}: the longest drive costs more than fits 31 bits; take larger units of "
                      "cost",
                      index));
  }
  for (std::size_t index = 0; index < problem.customers.size(); ++index)
    find_faults(problem, problem.customers[index], index, faults);
  return faults;
}

}  // namespace brinecast::sim::search
