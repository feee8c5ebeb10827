#pragma once
// The kinds of rules by name: every enumerator that a policy or its log can say, as the compiler spells it.

#include <array>
#include <stdexcept>
#include <string_view>
#include <utility>
#include <vector>

#include "sim/policy/why.hpp"
#include "sim/scenario/policy_spec.hpp"
#include "small_fleet.hpp"

namespace brinecast::sim {

inline constexpr std::size_t most_enumerators = 64;

/// "FiredRule::restarted"; "" when no enumerator has this number.
template <class Enum, Enum value>
constexpr std::string_view enumerator_name() {
  std::string_view text = __PRETTY_FUNCTION__;  // "... value = brinecast::sim::FiredRule::restarted; ..."
  text.remove_prefix(text.find("value = ") + std::string_view("value = ").size());
  text = text.substr(0, text.find_first_of(";]"));
  constexpr std::string_view home = "brinecast::sim::";
  return text.substr(0, home.size()) == home ? text.substr(home.size()) : std::string_view{};
}

/// Names by number.
template <class Enum>
constexpr std::array<std::string_view, most_enumerators> enumerator_names() {
  return []<std::size_t... number>(std::index_sequence<number...>) {
    return std::array{enumerator_name<Enum, static_cast<Enum>(number)>()...};
  }
  (std::make_index_sequence<most_enumerators>{});
}
static_assert(enumerator_names<VisitReason>()[3] == "VisitReason::rain");
static_assert(enumerator_names<FiredRule>()[fired_rule_count - 1] != "");
static_assert(enumerator_names<FiredRule>()[fired_rule_count] == "");

template <class Enum>
std::string_view name_of(Enum value) {
  return enumerator_names<Enum>()[static_cast<std::size_t>(value)];
}

/// All names of the enumerations.
template <class... Enums>
std::vector<std::string_view> all_names() {
  std::vector<std::string_view> names;
  auto const add = [&names](auto const& of_one) {
    for (std::string_view const name : of_one) {
      if (!name.empty()) names.push_back(name);
    }
  };
  (add(enumerator_names<Enums>()), ...);
  return names;
}

/// Visits that say a rule or reason of this name.
inline int count_kind(std::vector<TaskResult> const& results, std::string_view kind) {
  return count_visits(results, [kind](VisitRecord const& visit) {
    for (std::size_t i = 0; i < fired_rule_count; ++i) {
      auto const rule = static_cast<FiredRule>(i);
      if (has(visit.rules, rule) && name_of(rule) == kind) return true;
    }
    for (std::size_t i = 0; i < visit_reason_count; ++i) {
      auto const reason = static_cast<VisitReason>(i);
      if (has(visit.reasons, reason) && name_of(reason) == kind) return true;
    }
    return false;
  });
}

}  // namespace brinecast::sim
