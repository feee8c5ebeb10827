#pragma once
// Days as users read and write them.

#include <chrono>
#include <string>

namespace brinecast::sim {

/// "2027-03-01" (ISO 8601).
std::string date_text(std::chrono::sys_days day);

}  // namespace brinecast::sim
