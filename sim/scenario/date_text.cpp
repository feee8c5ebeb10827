#include "sim/scenario/date_text.hpp"

#include <fmt/format.h>

namespace brinecast::sim {

std::string date_text(std::chrono::sys_days day) {
  std::chrono::year_month_day const date{day};
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                     static_cast<unsigned>(date.day()));
}

}  // namespace brinecast::sim
