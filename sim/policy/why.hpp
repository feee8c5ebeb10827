#pragma once
// Why a visit was made and which rules fired, as bits of the visit log with the words for each.

#include <cstdint>
#include <string>
#include <string_view>

namespace brinecast::sim {

/// Append only: the numbers are part of every result file.
enum class VisitReason : std::uint32_t {
  interval = 0,
  call_out = 1,
  warning = 2,
  rain = 3,
  heat = 4,
  bathers = 5,
  remote_reading = 6,
  return_visit = 7,
  opening = 8,
  closing = 9,
  winter_watch = 10
};
inline constexpr std::size_t visit_reason_count = 11;

/// Append only: the numbers are part of every result file.
enum class FiredRule : std::uint32_t {
  interval_lengthened = 0,
  interval_shortened = 1,
  test_made_rarer = 2,
  test_made_denser = 3,
  salt_topped_up = 4,
  salt_by_unit_display = 5,
  salt_found_good = 6,
  water_drained = 7,
  acid_for_ph = 8,
  acid_for_alkalinity = 9,
  alkalinity_raised = 10,
  calcium_raised = 11,
  cyanuric_acid_raised = 12,
  chlorine_boosted = 13,
  output_raised = 14,
  output_lowered = 15,
  output_by_calendar = 16,
  cold_water = 17,
  pump_lengthened = 18,
  pump_shortened = 19,
  cleaned_by_grade = 20,
  cleaned_by_calendar = 21,
  cleaned_by_operating_hours = 22,
  cleaned_by_voltage = 23,
  cleaned_by_saturation = 24,
  cleaned_on_warning = 25,
  restarted = 26,
  failed_cell_replaced = 27,
  cell_replaced_in_advance = 28,
  dose_limited = 29,
  unit_kept_off = 30,
  unit_powered = 31
};
inline constexpr std::size_t fired_rule_count = 32;

/// What a visit wanted and could not have. Append only: the numbers are part of every result file.
enum class Shortage : std::uint32_t {
  cell = 0,
  salt = 1,
  acid = 2,
  bicarbonate = 3,
  calcium_chloride = 4,
  cyanuric_acid = 5,
  liquid_chlorine = 6
};
inline constexpr std::size_t shortage_count = 7;

template <class Enum>
constexpr std::uint32_t bit(Enum value) {
  return std::uint32_t{1} << static_cast<std::uint32_t>(value);
}
template <class Enum>
constexpr bool has(std::uint32_t bits, Enum value) {
  return (bits & bit(value)) != 0;
}

/// One phrase each, for people.
std::string_view words(VisitReason reason);
std::string_view words(FiredRule rule);
std::string_view words(Shortage shortage);

/// All phrases of the bits, joined by "; ".
std::string words_of_reasons(std::uint32_t reasons);
std::string words_of_rules(std::uint32_t rules);
std::string words_of_shortages(std::uint32_t shortages);

}  // namespace brinecast::sim
