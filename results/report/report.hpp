#pragma once
// A result file as one page for people: the decision, its figures, and how sure they are.

#include <string>

#include "results/comparison.hpp"
#include "results/reader.hpp"

namespace brinecast::results {

struct ReportOptions {
  std::string baseline = {};  // name of a policy; "" takes the first
  Units units = Units::si;
};

/// The page as HTML in UTF-8. It holds its style, script and figures, asks no other file or network for anything, and
/// its figures are those of `compare` and `plan_supplies`. Throws ResultError as these two do.
std::string report_page(ResultFile const& file, ReportOptions const& options);

}  // namespace brinecast::results
