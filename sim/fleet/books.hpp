#pragma once
// The audit: what is there at the end is what was there at the start, plus what came in, less what went out, by the
// named lines of PoolBooks.

#include "sim/fleet/fleet.hpp"

namespace brinecast::sim {

/// Worst relative closure of each book over a fleet: |end - start - lines| / (|start| + sum of |lines|).
struct BookErrors {
  double water = 0, heat = 0, salt = 0, calcium = 0, alkalinity = 0, inorganic_carbon = 0, cyanuric_acid = 0,
         borate = 0, chlorine = 0;
  [[nodiscard]] double largest() const;
};

/// The larger of two errors; a book that is not a number has not closed either and is the worst.
double worse_of(double a, double b);

BookErrors audit(Fleet const& fleet);

}  // namespace brinecast::sim
