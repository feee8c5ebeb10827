#pragma once
// What a long run tells on standard error: one line that moves on a terminal, a line now and then elsewhere.

#include <chrono>
#include <string_view>

#include "sim/ensemble/ensemble.hpp"

namespace brinecast::tools {

/// One line on standard error.
void note(std::string_view text);
/// Drops all that this process would still print: of several ranks one speaks.
void speak_no_more();

class ProgressLine {
 public:
  /// `done_before`: tasks that an earlier run finished.
  explicit ProgressLine(std::size_t done_before);
  void show(sim::Progress const& state);
  /// Leaves the line as it stands.
  void end();

 private:
  std::size_t done_before_;
  bool terminal_;
  bool open_line_ = false;
  std::chrono::steady_clock::time_point last_;
};

}  // namespace brinecast::tools
