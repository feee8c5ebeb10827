// bench_rounds: measures the search for rounds on published instances against the best known values.

#include <fmt/format.h>

#include <algorithm>
#include <boost/program_options.hpp>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <optional>
#include <sstream>

#include "sim/rounds/search/check.hpp"
#include "sim/rounds/search/instance_files.hpp"
#include "sim/rounds/search/route_search.hpp"

namespace {

namespace fs = std::filesystem;
namespace options = boost::program_options;
using namespace brinecast::sim::search;

constexpr int fine = 0;
constexpr int input_at_fault = 1;
constexpr int wrong_usage = 2;

/// Value of an instance in best_known.csv beside it or in the folder above, if any.
std::optional<double> best_known_of(fs::path const& instance) {
  fs::path const folder = fs::absolute(instance).parent_path();
  for (fs::path const& table : {folder / "best_known.csv", folder.parent_path() / "best_known.csv"}) {
    std::ifstream file(table);
    std::string line;
    std::getline(file, line);
    std::vector<std::string> names;
    auto cells_of = [](std::string text) {
      while (!text.empty() && (text.back() == '\r' || text.back() == '\n')) text.pop_back();
      std::vector<std::string> cells;
      std::istringstream stream(text);
      for (std::string cell; std::getline(stream, cell, ',');) cells.push_back(cell);
      return cells;
    };
    names = cells_of(line);
    auto const column_of = [&](std::string const& name) {
      return static_cast<std::size_t>(std::find(names.begin(), names.end(), name) - names.begin());
    };
    std::size_t const name_column = column_of("instance");
    std::size_t const value_column = column_of("value");
    while (std::getline(file, line)) {
      std::vector<std::string> const cells = cells_of(line);
      if (std::max(name_column, value_column) >= cells.size() || cells[name_column] != instance.stem().string())
        continue;
      char* end = nullptr;
      double const value = std::strtod(cells[value_column].c_str(), &end);
      if (end != cells[value_column].c_str() && value > 0.0) return value;
    }
  }
  return std::nullopt;
}

struct Row {
  std::string instance;
  std::optional<double> best_known;
  double ours = 0.0;
  double seconds = 0.0;
  std::vector<std::string> faults;  // of the solution
  [[nodiscard]] std::optional<double> gap_percent() const {
    if (!best_known) return std::nullopt;
    return 100.0 * (ours - *best_known) / *best_known;
  }
};

/// The cost of a solution from the distances of the file themselves.
double cost_in_own_convention(Instance const& instance, Solution const& solution) {
  std::size_t const places = instance.problem.travel_cost.places;
  double cost = 0.0;
  for (VehicleDay const& round : solution.rounds) {
    VehicleKind const& kind = instance.problem.kinds[static_cast<std::size_t>(round.kind)];
    std::size_t place = kind.start_place;
    for (int const customer : round.customers) {
      std::size_t const next = instance.problem.customers[static_cast<std::size_t>(customer)].place;
      cost += instance.distances[place * places + next];
      place = next;
    }
    cost += instance.distances[place * places + kind.end_place];
  }
  return cost;
}

Row measure(Instance const& instance, fs::path const& path, SearchOptions const& search) {
  auto const start = std::chrono::steady_clock::now();
  Solution const solution = search_rounds(instance.problem, search);
  Row row{.instance = instance.name, .best_known = best_known_of(path), .faults = {}};
  row.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  row.ours = cost_in_own_convention(instance, solution);
  Verdict const verdict = check_solution(instance.problem, solution);
  row.faults = verdict.faults;
  if (verdict.cost != solution.cost)
    row.faults.push_back(fmt::format("cost {} as found, {} as checked", solution.cost, verdict.cost));
  return row;
}

bool looks_like_instance(fs::path const& path) {
  std::string const extension = path.extension().string();
  return extension == ".vrp" || ((extension == ".txt" || extension.empty()) && path.parent_path().filename() == "pvrp");
}

std::vector<fs::path> instances_in(fs::path const& folder) {
  std::vector<fs::path> found;
  std::error_code error;
  for (fs::recursive_directory_iterator entry(folder, error), end; !error && entry != end; entry.increment(error))
    if (entry->is_regular_file() && (looks_like_instance(entry->path()))) found.push_back(entry->path());
  std::sort(found.begin(), found.end());
  return found;
}

void print_row(Row const& row) {
  std::cout << fmt::format("{:<16} {:>12} {:>12.2f} {:>8} {:>8.1f}{}\n", row.instance,
                           row.best_known ? fmt::format("{:.2f}", *row.best_known) : "-", row.ours,
                           row.gap_percent() ? fmt::format("{:.3f}", *row.gap_percent()) : "-", row.seconds,
                           row.faults.empty() ? "" : "  INFEASIBLE")
            << std::flush;
}

void print_summary(std::vector<Row> const& rows) {
  double sum = 0.0;
  double worst = -1e300;
  int count = 0;
  for (Row const& row : rows)
    if (auto const gap = row.gap_percent()) {
      sum += *gap;
      worst = std::max(worst, *gap);
      ++count;
    }
  if (count > 0)
    std::cout << fmt::format("{} instances, gap in %: mean {:.3f}, worst {:.3f}\n", count, sum / count, worst);
}

void print_json(std::vector<Row> const& rows) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  auto rounded = [](double value, double unit) { return std::round(value * unit) / unit; };
  for (Row const& row : rows) {
    nlohmann::ordered_json object;
    object["instance"] = row.instance;
    object["best_known"] = row.best_known ? nlohmann::ordered_json(*row.best_known) : nlohmann::ordered_json(nullptr);
    object["ours"] = rounded(row.ours, 1e4);
    object["gap"] =
        row.gap_percent() ? nlohmann::ordered_json(rounded(*row.gap_percent(), 1e6)) : nlohmann::ordered_json(nullptr);
    object["seconds"] = rounded(row.seconds, 1e3);
    list.push_back(std::move(object));
  }
  std::cout << list.dump(2) << '\n';
}

fs::path default_folder() {
  char const* const data = std::getenv("BRINECAST_DATA");
  return fs::path(data != nullptr ? data : "../shared/data") / "routing";
}

int run(int argc, char** argv) {
  std::string format = "text";
  std::string folder;
  std::vector<std::string> files;
  SearchOptions search{.iterations = std::numeric_limits<std::int64_t>::max(), .seconds = 10.0};
  options::options_description description("options");
  description.add_options()("help", "explain and leave")(
      "instance", options::value(&files), "one file in VRPLIB (.vrp) or Cordeau's periodic format; may be repeated")(
      "folder", options::value(&folder),
      "all .vrp files and the files of folders named pvrp below this folder "
      "[routing below the folder BRINECAST_DATA, or below ../shared/data]")(
      "seconds", options::value(&search.seconds)->default_value(10.0, "10"), "time for each instance")(
      "iterations", options::value(&search.iterations),
      "offspring for each instance at most; then results do not depend "
      "on the machine if the time suffices")("seed", options::value(&search.seed)->default_value(1), "of the search")(
      "format", options::value(&format)->default_value("text"), "text or json");
  options::positional_options_description positions;
  positions.add("folder", 1);
  try {
    options::variables_map values;
    options::store(options::command_line_parser(argc, argv).options(description).positional(positions).run(), values);
    options::notify(values);
    if (values.count("help") != 0) {
      std::cout
          << "bench_rounds: search published routing instances and compare with the best known values\n\n"
             "usage: bench_rounds [FOLDER] [options]\n\n"
          << description
          << "\nThe gap is in percent of the best known value, which best_known.csv beside the instance or one folder "
             "above\ngives. Every solution is checked by code independent of the search. Exit codes: 0 fine, 1 a file "
             "is "
             "at fault\nor a solution infeasible, 2 wrong usage.\n";
      return fine;
    }
  } catch (options::error const& error) {
    std::cerr << "bench_rounds: " << error.what() << " (bench_rounds --help lists all)\n";
    return wrong_usage;
  }
  if (format != "text" && format != "json") {
    std::cerr << "bench_rounds: --format " << format << " is not known; write text or json\n";
    return wrong_usage;
  }
  if (!(search.seconds > 0.0) || search.seconds > 1e6 || search.iterations < 1) {
    std::cerr << "bench_rounds: --seconds and --iterations must be above 0\n";
    return wrong_usage;
  }

  std::vector<fs::path> paths(files.begin(), files.end());
  if (files.empty()) {
    fs::path const where = folder.empty() ? default_folder() : fs::path(folder);
    paths = instances_in(where);
    if (paths.empty()) {
      std::cerr << "bench_rounds: " << where.string() << ": no instances found; name a folder or --instance FILE\n";
      return input_at_fault;
    }
  }
  if (format == "text")
    std::cout << fmt::format("{:<16} {:>12} {:>12} {:>8} {:>8}\n", "instance", "best known", "ours", "gap %",
                             "seconds");
  std::vector<Row> rows;
  int code = fine;
  for (fs::path const& path : paths) {
    auto read = read_instance(path);
    if (auto const* fault = std::get_if<InstanceFault>(&read)) {
      std::cerr << fault->line << '\n';
      code = input_at_fault;
      continue;
    }
    rows.push_back(measure(std::get<Instance>(read), path, search));
    for (std::string const& fault : rows.back().faults) {
      std::cerr << path.string() << ": solution is not feasible: " << fault << '\n';
      code = input_at_fault;
    }
    if (format == "text") print_row(rows.back());
  }
  if (format == "text") print_summary(rows);
  if (format == "json") print_json(rows);
  std::cout.flush();
  if (!std::cout) {
    std::cerr << "bench_rounds: standard output could not be written\n";
    return input_at_fault;
  }
  return code;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (std::exception const& error) {
    std::cerr << "bench_rounds: " << error.what() << '\n';
    return input_at_fault;
  }
}
