#include "sim/scenario/problems.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <numeric>
#include <tuple>

#include "sim/scenario/shown_text.hpp"

namespace brinecast::sim {

namespace {

char lower_case(char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); }

/// Letters to insert, remove, replace or swap with a neighbour, ignoring case (optimal string alignment).
std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before_last(b.size() + 1), last(b.size() + 1), now(b.size() + 1);
  std::iota(last.begin(), last.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      bool const same = lower_case(a[i - 1]) == lower_case(b[j - 1]);
      now[j] = std::min({last[j] + 1, now[j - 1] + 1, last[j - 1] + (same ? 0 : 1)});
      bool const swapped = i > 1 && j > 1 && lower_case(a[i - 1]) == lower_case(b[j - 2]) &&
                           lower_case(a[i - 2]) == lower_case(b[j - 1]);
      if (swapped) now[j] = std::min(now[j], before_last[j - 2] + 1);
    }
    std::swap(before_last, last);
    std::swap(last, now);
  }
  return last[b.size()];
}

}  // namespace

std::string Problems::text() const {
  std::vector<std::string> files;  // in the order in which they first appear
  for (auto const& problem : problems_) {
    if (std::find(files.begin(), files.end(), problem.file) == files.end()) files.push_back(problem.file);
  }
  std::vector<std::tuple<std::ptrdiff_t, int, int, std::size_t>> order;
  for (std::size_t i = 0; i < problems_.size(); ++i) {
    auto const& problem = problems_[i];
    order.emplace_back(std::find(files.begin(), files.end(), problem.file) - files.begin(), problem.line,
                       problem.column, i);
  }
  std::sort(order.begin(), order.end());
  std::string out;
  for (auto const& entry : order) {
    auto const& problem = problems_[std::get<3>(entry)];
    out += printable(problem.file);
    if (problem.line > 0) out += fmt::format(":{}", problem.line);
    if (problem.line > 0 && problem.column > 0) out += fmt::format(":{}", problem.column);
    if (!problem.file.empty()) out += ": ";
    if (!problem.place.empty()) out += printable(problem.place) + ": ";
    out += printable(problem.message) + '\n';
  }
  return out;
}

std::string nearest_word(std::string_view word, std::vector<std::string> const& known) {
  if (word.size() > 100) return "";
  // A third of the letters may be wrong, at least one; a short word must not turn into any other short word.
  std::size_t best_distance = std::max<std::size_t>(1, (word.size() + 1) / 3) + 1;
  std::string best;
  for (auto const& candidate : known) {
    std::size_t const distance = edit_distance(word, candidate);
    if (distance < best_distance && distance < std::max(word.size(), candidate.size())) {
      best_distance = distance;
      best = candidate;
    }
  }
  return best;
}

}  // namespace brinecast::sim
