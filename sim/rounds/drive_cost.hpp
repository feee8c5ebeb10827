#pragma once
// What a drive costs, as one number.

#include <cstdint>

namespace brinecast::sim {

/// Time and length of a drive in one number that adds and compares time first, length second: tenths of a second in the
/// upper half, tenths of a metre in the lower. Of equally fast ways the shortest is meant, so that every method of
/// finding fastest ways gives the same pair.
using DriveCost = std::uint64_t;

constexpr DriveCost no_drive = ~DriveCost{0};
constexpr DriveCost drive_cost(std::uint32_t time_ds, std::uint32_t length_dm) {
  return (DriveCost{time_ds} << 32) | length_dm;
}
constexpr std::uint32_t drive_time_ds(DriveCost cost) { return static_cast<std::uint32_t>(cost >> 32); }
constexpr std::uint32_t drive_length_dm(DriveCost cost) { return static_cast<std::uint32_t>(cost); }

}  // namespace brinecast::sim
