#include "tools/brinecast/room.hpp"

#include <sys/resource.h>
#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <limits>
#include <optional>
#include <sstream>
#include <string>
#include <system_error>

namespace brinecast::tools {

namespace {

constexpr double unbounded = std::numeric_limits<double>::infinity();

/// The number after `key` in a file of lines `key number`; with key "" the file's first word, when that is a number.
std::optional<double> number_in(std::filesystem::path const& path, std::string const& key) {
  std::ifstream file(path);
  for (std::string line; std::getline(file, line);) {
    std::istringstream words(line);
    std::string word;
    if (!key.empty() && (!(words >> word) || word != key)) continue;
    double number = 0.0;
    if (words >> number) return number;
    return std::nullopt;  // "max"
  }
  return std::nullopt;
}

/// Pages of this process: all mapped ones, and those in memory (proc(5), statm).
struct OwnPages {
  double mapped_bytes = 0.0, resident_bytes = 0.0;
};
OwnPages own_pages() {
  std::ifstream file("/proc/self/statm");
  double mapped = 0.0, resident = 0.0;
  if (!(file >> mapped >> resident)) return {};
  auto const page_bytes = static_cast<double>(sysconf(_SC_PAGESIZE));
  return {mapped * page_bytes, resident * page_bytes};
}

/// What a control group and those above it leave. Cached file pages count as free, since the kernel gives them up
/// (kernel documentation, cgroup-v2, memory.max and memory.stat; cgroup-v1, memory.limit_in_bytes).
double left_in_groups(std::filesystem::path const& top, std::string const& group, char const* limit, char const* used,
                      char const* cached) {
  double left = unbounded;
  std::filesystem::path folder = top / group.substr(std::min<std::size_t>(group.size(), 1));
  for (;;) {
    auto const most = number_in(folder / limit, "");
    auto const now = number_in(folder / used, "");
    if (most && now) left = std::min(left, *most - *now + number_in(folder / "memory.stat", cached).value_or(0.0));
    if (folder == top || folder.string().size() <= top.string().size()) return left;
    folder = folder.parent_path();
  }
}

double left_in_groups() {
  double left = unbounded;
  std::ifstream file("/proc/self/cgroup");  // lines number:controllers:group
  for (std::string line; std::getline(file, line);) {
    auto const first = line.find(':'), second = line.find(':', first + 1);
    if (first == std::string::npos || second == std::string::npos) continue;
    std::string const controllers = line.substr(first + 1, second - first - 1), group = line.substr(second + 1);
    if (controllers.empty()) {
      left = std::min(left, left_in_groups("/sys/fs/cgroup", group, "memory.max", "memory.current", "inactive_file"));
    } else if (controllers.find("memory") != std::string::npos) {
      left = std::min(left, left_in_groups("/sys/fs/cgroup/memory", group, "memory.limit_in_bytes",
                                           "memory.usage_in_bytes", "total_inactive_file"));
    }
  }
  return left;
}

}  // namespace

results::Room room_for(std::filesystem::path const& folder) {
  OwnPages const own = own_pages();
  results::Room room{unbounded, "", unbounded};
  auto const bound = [&](double left_bytes, std::string words) {
    if (own.resident_bytes + std::max(left_bytes, 0.0) >= room.memory_bytes) return;
    room.memory_bytes = own.resident_bytes + std::max(left_bytes, 0.0);
    room.memory_bound = std::move(words);
  };
  if (auto const kB = number_in("/proc/meminfo", "MemAvailable:")) bound(1024.0 * *kB, "the machine");
  bound(left_in_groups(), "its control group");
  rlimit limit{};
  if (getrlimit(RLIMIT_AS, &limit) == 0 && limit.rlim_cur != RLIM_INFINITY) {
    bound(static_cast<double>(limit.rlim_cur) - own.mapped_bytes, "the limit of its address space (ulimit -v)");
  }
  std::error_code error;
  auto const space = std::filesystem::space(folder.empty() ? "." : folder, error);
  if (!error) room.disk_bytes = static_cast<double>(space.available);
  return room;
}

}  // namespace brinecast::tools
