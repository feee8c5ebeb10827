// Writes a case of the hourly kernel for the form in NumPy: write_case SCENARIO POOLS FIRST_DAY DAYS WARMING_K.

#include <cstdlib>
#include <iostream>

#include "tools/bench_kernel/workload.hpp"

int main(int argc, char** argv) {
  if (argc != 6) {
    std::cerr << "usage: write_case SCENARIO POOLS FIRST_DAY DAYS WARMING_K\n";
    return 2;
  }
  brinecast::sim::Problems problems;
  auto const workload = brinecast::tools::make_workload({.scenario = argv[1],
                                                         .pools = static_cast<std::size_t>(std::atoi(argv[2])),
                                                         .first_day = std::atoi(argv[3]),
                                                         .days = std::atoi(argv[4]),
                                                         .warming_K = std::atof(argv[5])},
                                                        problems);
  if (!workload) {
    std::cerr << problems.text();
    return 1;
  }
  brinecast::tools::write_case(std::cout, *workload);
}
