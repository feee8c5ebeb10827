#include "tools/brinecast/progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <stdexcept>

#include "sim/scenario/shown_text.hpp"

namespace brinecast::tools {

namespace {

std::string duration_text(double seconds) {
  if (seconds < 60.0) return fmt::format("{:.0f} s", seconds);
  if (seconds < 3600.0) return fmt::format("{:.0f} min", seconds / 60.0);
  return fmt::format("{:.1f} h", seconds / 3600.0);
}

}  // namespace

void note(std::string_view text) { fmt::print(stderr, "{}\n", sim::printable(text)); }

void speak_no_more() {
  if (std::freopen("/dev/null", "w", stdout) == nullptr || std::freopen("/dev/null", "w", stderr) == nullptr) {
    throw std::runtime_error("/dev/null cannot be opened");
  }
}

ProgressLine::ProgressLine(std::size_t done_before)
    : done_before_(done_before), terminal_(isatty(STDERR_FILENO) != 0), last_(std::chrono::steady_clock::now()) {}

void ProgressLine::show(sim::Progress const& state) {
  auto const now = std::chrono::steady_clock::now();
  bool const last_task = state.tasks_done == state.tasks_total;
  double const since_s = std::chrono::duration<double>(now - last_).count();
  // A terminal is refreshed a few times a second; a log file gets a line every ten seconds and at the end.
  if (!last_task && since_s < (terminal_ ? 0.2 : 10.0)) return;
  last_ = now;
  double const left_s = state.elapsed_s * static_cast<double>(state.tasks_total - state.tasks_done) /
                        static_cast<double>(state.tasks_done);
  std::string const text =
      fmt::format("{} of {} seasons, {} left, {:.1f} million pool-hours a second", done_before_ + state.tasks_done,
                  done_before_ + state.tasks_total, duration_text(left_s), state.pool_hours / state.elapsed_s / 1e6);
  if (terminal_) {
    fmt::print(stderr, "\r{:<78}", text);
    open_line_ = true;
  } else {
    note(text);
  }
}

void ProgressLine::end() {
  if (open_line_) fmt::print(stderr, "\n");
  open_line_ = false;
}

}  // namespace brinecast::tools
