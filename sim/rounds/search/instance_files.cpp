#include "sim/rounds/search/instance_files.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cctype>
#include <charconv>
#include <cmath>
#include <fstream>
#include <map>
#include <optional>

namespace brinecast::sim::search {

namespace {

constexpr std::size_t most_nodes = 5000;     // 100 MB of table
constexpr double largest_table_entry = 1e9;  // leaves room in 32 bits
constexpr double pi_of_tsplib = 3.141592;    // the value that TSPLIB prescribes

struct Line {
  int number = 0;
  std::string text;
  std::vector<std::string_view> words;
};

struct Fault {  // thrown inside this file only
  std::string line;
};

constexpr std::string_view blanks = " \t\r\f\v";

class Reader {
 public:
  explicit Reader(std::filesystem::path const& path) : name_(path.string()) {
    std::ifstream file(path, std::ios::binary);
    std::error_code ignored;
    if (!file || std::filesystem::is_directory(path, ignored))
      throw Fault{name_ + ": cannot be read; is the path right?"};
    std::string text;
    for (int number = 1; std::getline(file, text); ++number) {
      if (text.find('\0') != std::string::npos) fail(number, "a zero byte; expected a text file");
      Line line{.number = number, .text = text, .words = {}};
      lines_.push_back(std::move(line));
    }
    std::erase_if(lines_, [](Line const& line) { return line.text.find_first_not_of(blanks) == std::string::npos; });
    for (Line& line : lines_) split(line);  // the words point into the lines, which stay put from here
    if (lines_.empty()) throw Fault{name_ + ": empty; expected a routing instance"};
  }

  [[noreturn]] void fail(int number, std::string const& what) const {
    throw Fault{fmt::format("{}:{}: {}", name_, number, what)};
  }
  [[nodiscard]] bool at_end() const { return next_ == lines_.size(); }
  [[nodiscard]] Line const& peek() const { return lines_[next_]; }
  Line const& take(std::string const& wanted) {
    if (at_end()) fail(lines_.back().number, "the file ends here; expected " + wanted);
    return lines_[next_++];
  }
  double number(Line const& line, std::size_t word, std::string const& what) const {
    if (word >= line.words.size()) fail(line.number, what + " is missing");
    std::string_view const text = line.words[word];
    double value = 0.0;
    auto const [end, error] =
        std::from_chars(text.data() + (text.front() == '+' ? 1 : 0), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value) || std::abs(value) > 1e12)
      fail(line.number, fmt::format("{}: \"{}\" is not a number of usual size", what, text));
    return value;
  }
  Amount whole(Line const& line, std::size_t word, std::string const& what, Amount least, Amount most) const {
    double const value = number(line, word, what);
    if (value != std::floor(value) || value < static_cast<double>(least) || value > static_cast<double>(most))
      fail(line.number, fmt::format("{}: {} is not a whole number from {} to {}", what, line.words[word], least, most));
    return static_cast<Amount>(value);
  }
  [[nodiscard]] std::string const& name() const { return name_; }

 private:
  static void split(Line& line) {
    std::string_view rest = line.text;
    for (;;) {
      auto const start = rest.find_first_not_of(blanks);
      if (start == std::string_view::npos) return;
      rest.remove_prefix(start);
      auto const end = std::min(rest.find_first_of(blanks), rest.size());
      line.words.push_back(rest.substr(0, end));
      rest.remove_prefix(end);
    }
  }

  std::string name_;
  std::vector<Line> lines_;
  std::size_t next_ = 0;
};

struct Point {
  double x = 0.0;
  double y = 0.0;
};

/// Units in one of the instance's own: 1 where everything is whole.
double scale_for(std::vector<double> const& distances, bool whole) {
  double const largest = *std::max_element(distances.begin(), distances.end());
  double scale = whole ? 1.0 : 1e5;
  while (scale > 1.0 && largest * scale > largest_table_entry) scale /= 10.0;
  return scale;
}

/// Time in units, rounded up, so that what keeps a limit in units keeps it unrounded too.
Amount time_in_units(double time, double scale) { return static_cast<Amount>(std::ceil(time * scale - 1e-6)); }

void fill_tables(Instance& instance, double scale, bool durations_matter) {
  instance.unit = 1.0 / scale;
  std::size_t const places = static_cast<std::size_t>(std::llround(std::sqrt(instance.distances.size())));
  for (double const distance : instance.distances) {
    instance.cost_table.push_back(static_cast<std::int32_t>(std::llround(distance * scale)));
    if (durations_matter) instance.duration_table.push_back(static_cast<std::int32_t>(time_in_units(distance, scale)));
  }
  instance.problem.travel_cost = {.values = instance.cost_table.data(), .places = places};
  if (durations_matter) instance.problem.travel_duration = {.values = instance.duration_table.data(), .places = places};
}

// ---- VRPLIB and TSPLIB ----

double distance_between(Point const& a, Point const& b, std::string const& type, bool rounded) {
  double const dx = a.x - b.x;
  double const dy = a.y - b.y;
  if (type == "EUC_2D") return rounded ? std::floor(std::sqrt(dx * dx + dy * dy) + 0.5) : std::sqrt(dx * dx + dy * dy);
  if (type == "CEIL_2D") return std::ceil(std::sqrt(dx * dx + dy * dy));
  if (type == "MAN_2D") return std::floor(std::abs(dx) + std::abs(dy) + 0.5);
  if (type == "MAX_2D") return std::max(std::floor(std::abs(dx) + 0.5), std::floor(std::abs(dy) + 0.5));
  if (type == "ATT") {
    double const pseudo = std::sqrt((dx * dx + dy * dy) / 10.0);
    double const near = std::floor(pseudo + 0.5);
    return near < pseudo ? near + 1.0 : near;
  }
  // GEO: degrees and minutes as DDD.MM, on a sphere.
  auto radians = [](double value) {
    double const degrees = std::trunc(value);
    return pi_of_tsplib * (degrees + 5.0 * (value - degrees) / 3.0) / 180.0;
  };
  double const q1 = std::cos(radians(a.y) - radians(b.y));
  double const q2 = std::cos(radians(a.x) - radians(b.x));
  double const q3 = std::cos(radians(a.x) + radians(b.x));
  double const cosine = std::clamp(0.5 * ((1.0 + q1) * q2 - (1.0 - q1) * q3), -1.0, 1.0);
  return std::floor(6378.388 * std::acos(cosine) + 1.0);
}

class LibraryFile {
 public:
  explicit LibraryFile(Reader& reader) : reader_(reader) {}

  Instance read() {
    while (!reader_.at_end()) {
      Line const& line = reader_.take("a keyword");
      auto [key, value] = key_and_value(line);
      if (key == "EOF") break;
      if (key.ends_with("_SECTION"))
        read_section(key, line);
      else if (!header_.try_emplace(key, value, line.number).second && key != "COMMENT")
        reader_.fail(line.number, fmt::format("{} is given twice; keep one", key));
    }
    return build();
  }

 private:
  static std::pair<std::string, std::string> key_and_value(Line const& line) {
    std::string key(line.words.front());
    std::string value;
    auto const colon = line.text.find(':');
    if (colon != std::string::npos) {
      key = line.text.substr(0, colon);
      value = line.text.substr(colon + 1);
    } else if (line.words.size() > 1) {
      value = std::string(line.words[1]);
    }
    auto trim = [](std::string& text) {
      auto const start = text.find_first_not_of(" \t\r");
      auto const end = text.find_last_not_of(" \t\r");
      text = start == std::string::npos ? "" : text.substr(start, end - start + 1);
    };
    trim(key);
    trim(value);
    std::transform(key.begin(), key.end(), key.begin(),
                   [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
    return {key, value};
  }

  [[nodiscard]] bool has(std::string const& key) const { return header_.contains(key); }
  double header_number(std::string const& key) const {
    auto const& [value, number] = header_.at(key);
    double result = 0.0;
    auto const [end, error] = std::from_chars(value.data(), value.data() + value.size(), result);
    if (error != std::errc{} || end != value.data() + value.size() || !(result >= 0.0) || result > 1e12)
      reader_.fail(number, fmt::format("{}: \"{}\" is not a number of 0 or more", key, value));
    return result;
  }
  std::size_t dimension(Line const& line) const {
    if (!has("DIMENSION")) reader_.fail(line.number, "DIMENSION must stand before the sections");
    double const value = header_number("DIMENSION");
    if (value != std::floor(value) || value < 1.0 || value > static_cast<double>(most_nodes))
      reader_.fail(header_.at("DIMENSION").second,
                   fmt::format("DIMENSION: {} is not a whole number from 1 to {}", value, most_nodes));
    return static_cast<std::size_t>(value);
  }
  std::string text_of(std::string const& key) const { return has(key) ? header_.at(key).first : std::string{}; }

  void read_section(std::string const& key, Line const& line) {
    std::size_t const size = dimension(line);
    if (key == "NODE_COORD_SECTION") {
      coordinates_.assign(size, {});
      fill_by_node(size, "a node and its coordinates", [&](Line const& row, std::size_t node) {
        coordinates_[node] = {reader_.number(row, 1, "x"), reader_.number(row, 2, "y")};
      });
    } else if (key == "DEMAND_SECTION") {
      demands_.assign(size, 0);
      fill_by_node(size, "a node and its demand", [&](Line const& row, std::size_t node) {
        demands_[node] = reader_.whole(row, 1, "demand", 0, 1'000'000'000'000);
      });
    } else if (key == "SERVICE_TIME_SECTION") {
      services_.assign(size, 0.0);
      fill_by_node(size, "a node and its service time", [&](Line const& row, std::size_t node) {
        services_[node] = reader_.number(row, 1, "service time");
        if (services_[node] < 0.0) reader_.fail(row.number, "service time below 0");
      });
    } else if (key == "DEPOT_SECTION") {
      while (!reader_.at_end()) {
        Line const& row = reader_.take("a depot or -1");
        Amount const node = reader_.whole(row, 0, "depot", -1, static_cast<Amount>(size));
        if (node == -1) break;
        if (node == 0) reader_.fail(row.number, "depot 0 does not exist; nodes count from 1");
        if (depot_ && *depot_ != static_cast<std::size_t>(node - 1))
          reader_.fail(row.number, "a second depot; only one is supported");
        depot_ = static_cast<std::size_t>(node - 1);
      }
    } else if (key == "EDGE_WEIGHT_SECTION") {
      read_weights(size, line);
    } else if (key == "DISPLAY_DATA_SECTION") {
      fill_by_node(size, "a node and where to draw it", [](Line const&, std::size_t) {});
    } else {
      reader_.fail(line.number, key + " is not supported");
    }
  }

  template <class Store>
  void fill_by_node(std::size_t size, std::string const& wanted, Store const& store) {
    std::vector<char> seen(size, 0);
    for (std::size_t count = 0; count < size; ++count) {
      Line const& row = reader_.take(wanted);
      auto const node = static_cast<std::size_t>(reader_.whole(row, 0, "node", 1, static_cast<Amount>(size))) - 1;
      if (seen[node] != 0) reader_.fail(row.number, fmt::format("node {} is given twice", node + 1));
      seen[node] = 1;
      store(row, node);
    }
  }

  void read_weights(std::size_t size, Line const& line) {
    std::string const format = text_of("EDGE_WEIGHT_FORMAT");
    bool const full = format == "FULL_MATRIX";
    bool const lower =
        format == "LOWER_ROW" || format == "LOWER_DIAG_ROW" || format == "UPPER_COL" || format == "UPPER_DIAG_COL";
    bool const upper =
        format == "UPPER_ROW" || format == "UPPER_DIAG_ROW" || format == "LOWER_COL" || format == "LOWER_DIAG_COL";
    if (!full && !lower && !upper)
      reader_.fail(line.number,
                   fmt::format("EDGE_WEIGHT_FORMAT \"{}\" is not known; write for example LOWER_ROW", format));
    bool const diagonal = format.find("DIAG") != std::string::npos;
    weights_.assign(size * size, 0.0);
    Line const* row = nullptr;
    std::size_t word = 0;
    auto next = [&] {
      while (row == nullptr || word == row->words.size()) {
        row = &reader_.take("an edge weight");
        word = 0;
      }
      double const value = reader_.number(*row, word, "edge weight");
      if (value < 0.0) reader_.fail(row->number, "edge weight below 0");
      ++word;
      return value;
    };
    for (std::size_t from = 0; from < size; ++from) {
      std::size_t const first = full || lower ? 0 : (diagonal ? from : from + 1);
      std::size_t const last = full || upper ? size : (diagonal ? from + 1 : from);
      for (std::size_t to = first; to < last; ++to) {
        double const value = next();
        weights_[from * size + to] = value;
        if (!full) weights_[to * size + from] = value;
      }
    }
    if (row != nullptr && word != row->words.size()) reader_.fail(row->number, "more edge weights than the format has");
  }

  Instance build() {
    Line const end{.number = 1, .text = {}, .words = {}};
    std::size_t const size = dimension(end);
    std::string const type = text_of("EDGE_WEIGHT_TYPE");
    bool const tour = text_of("TYPE") == "TSP" || text_of("TYPE") == "ATSP";
    bool const limited = has("DISTANCE");
    bool rounded = !limited;
    if (type == "EXPLICIT") {
      if (weights_.empty()) reader_.fail(1, "EDGE_WEIGHT_TYPE is EXPLICIT but there is no EDGE_WEIGHT_SECTION");
      rounded =
          std::all_of(weights_.begin(), weights_.end(), [](double weight) { return weight == std::floor(weight); });
    } else {
      constexpr std::array known{"EUC_2D", "CEIL_2D", "MAN_2D", "MAX_2D", "ATT", "GEO"};
      if (std::find(known.begin(), known.end(), type) == known.end())
        reader_.fail(
            has("EDGE_WEIGHT_TYPE") ? header_.at("EDGE_WEIGHT_TYPE").second : 1,
            fmt::format("EDGE_WEIGHT_TYPE \"{}\" is not supported; EUC_2D and EXPLICIT are the usual ones", type));
      if (coordinates_.empty()) reader_.fail(1, "there is no NODE_COORD_SECTION");
      weights_.resize(size * size);
      for (std::size_t from = 0; from < size; ++from)
        for (std::size_t to = 0; to < size; ++to)
          weights_[from * size + to] =
              from == to ? 0.0 : distance_between(coordinates_[from], coordinates_[to], type, rounded);
      if (type != "EUC_2D") rounded = true;
    }
    if (!tour && demands_.empty()) reader_.fail(1, "there is no DEMAND_SECTION");
    if (!tour && !has("CAPACITY")) reader_.fail(1, "CAPACITY is missing");

    Instance instance;
    if (rounded && *std::max_element(weights_.begin(), weights_.end()) > largest_table_entry)
      reader_.fail(1, fmt::format("a distance above {:.0f} is not supported", largest_table_entry));
    instance.distances = weights_;
    double const scale = scale_for(weights_, rounded);
    fill_tables(instance, scale, limited);
    Problem& problem = instance.problem;
    std::size_t const depot = depot_.value_or(0);
    double const service = has("SERVICE_TIME") ? header_number("SERVICE_TIME") : 0.0;
    Amount total_demand = 0;
    for (std::size_t node = 0; node < size; ++node) {
      if (node == depot) continue;
      Customer customer;
      customer.place = node;
      if (!tour) customer.demand = demands_[node];
      customer.service_duration = time_in_units(services_.empty() ? service : services_[node], scale);
      total_demand += customer.demand;
      problem.customers.push_back(std::move(customer));
    }
    VehicleKind fleet;
    fleet.start_place = fleet.end_place = depot;
    if (tour) {
      fleet.count = 1;
    } else {
      fleet.capacity = static_cast<Amount>(std::floor(header_number("CAPACITY")));
      if (fleet.capacity < 1) reader_.fail(header_.at("CAPACITY").second, "CAPACITY below 1");
      for (std::size_t node = 0; node < size; ++node)
        if (node != depot && demands_[node] > fleet.capacity)
          reader_.fail(1, fmt::format("node {}: demand {} is more than the capacity {}", node + 1, demands_[node],
                                      fleet.capacity));
      // The fleet is free; three tenths more routes than loads ask for are never short without a limit on their length.
      fleet.count = static_cast<int>(problem.customers.size());
      if (!limited)
        fleet.count = std::min(fleet.count, static_cast<int>(13 * total_demand / (10 * fleet.capacity)) + 4);
      if (has("VEHICLES")) fleet.count = std::max(1, static_cast<int>(header_number("VEHICLES")));
    }
    if (limited) fleet.longest_duration = static_cast<Amount>(std::floor(header_number("DISTANCE") * scale + 1e-6));
    problem.kinds.push_back(fleet);
    return instance;
  }

  Reader& reader_;
  std::map<std::string, std::pair<std::string, int>> header_;
  std::vector<Point> coordinates_;
  std::vector<Amount> demands_;
  std::vector<double> services_;
  std::vector<double> weights_;
  std::optional<std::size_t> depot_;
};

// ---- Cordeau's periodic format ----

Instance read_periodic(Reader& reader) {
  Line const& first = reader.take("type, vehicles, customers, days");
  Amount const type = reader.whole(first, 0, "type", 0, 100);
  if (type != 1) reader.fail(first.number, fmt::format("type {} is not periodic routing; expected type 1", type));
  int const vehicles = static_cast<int>(reader.whole(first, 1, "vehicles", 1, 10'000));
  auto const customers = static_cast<std::size_t>(reader.whole(first, 2, "customers", 1, most_nodes - 1));
  int const days = static_cast<int>(reader.whole(first, 3, "days", 1, 62));

  std::vector<std::pair<double, Amount>> limits;
  for (int day = 0; day < days; ++day) {
    Line const& line = reader.take("longest duration and capacity of a day");
    double const duration = reader.number(line, 0, "longest duration");
    if (duration < 0.0) reader.fail(line.number, "longest duration below 0");
    limits.emplace_back(duration, reader.whole(line, 1, "capacity", 0, 1'000'000'000'000));
  }

  struct Row {
    Point point;
    double service = 0.0;
    Amount demand = 0;
    std::vector<std::uint64_t> patterns;
  };
  std::vector<Row> rows;
  std::uint64_t const every_day = (std::uint64_t{1} << days) - 1;
  while (rows.size() <= customers) {
    Line const& line = reader.take(fmt::format("customer {}", rows.size()));
    std::string const who = fmt::format("customer {}", rows.size());
    Amount const number = reader.whole(line, 0, "customer number", 0, most_nodes);
    if (number != static_cast<Amount>(rows.size()))
      reader.fail(line.number, fmt::format("customer number {}; expected {}", number, rows.size()));
    Row row;
    row.point = {reader.number(line, 1, "x of " + who), reader.number(line, 2, "y of " + who)};
    row.service = reader.number(line, 3, "service duration of " + who);
    if (row.service < 0.0) reader.fail(line.number, "service duration below 0");
    row.demand = reader.whole(line, 4, "demand of " + who, 0, 1'000'000'000'000);
    Amount const frequency = reader.whole(line, 5, "frequency of " + who, 0, days);
    Amount const combinations = reader.whole(line, 6, "number of combinations of " + who, 0, 1000);
    for (Amount index = 0; index < combinations; ++index) {
      auto const code = static_cast<std::uint64_t>(reader.whole(
          line, 7 + static_cast<std::size_t>(index), "combination of " + who, 0, static_cast<Amount>(every_day)));
      std::uint64_t pattern = 0;
      for (int day = 0; day < days; ++day)
        if ((code >> (days - 1 - day) & 1) != 0) pattern |= std::uint64_t{1} << day;
      if (!rows.empty() && std::popcount(pattern) != static_cast<int>(frequency))
        reader.fail(line.number, fmt::format("combination {} of {} has {} days, its frequency is {}", code, who,
                                             std::popcount(pattern), frequency));
      row.patterns.push_back(pattern);
    }
    if (!rows.empty() && row.patterns.empty()) reader.fail(line.number, who + " has no combination of days");
    rows.push_back(std::move(row));
  }

  Instance instance;
  std::size_t const size = rows.size();
  std::vector<double>& distances = instance.distances;
  distances.resize(size * size);
  for (std::size_t from = 0; from < size; ++from)
    for (std::size_t to = 0; to < size; ++to)
      distances[from * size + to] =
          std::hypot(rows[from].point.x - rows[to].point.x, rows[from].point.y - rows[to].point.y);
  double const scale = scale_for(distances, false);
  fill_tables(instance, scale,
              std::any_of(limits.begin(), limits.end(), [](auto const& limit) { return limit.first > 0.0; }));
  Problem& problem = instance.problem;
  problem.days = days;
  for (std::size_t index = 1; index < size; ++index) {
    Customer customer;
    customer.place = index;
    customer.demand = rows[index].demand;
    customer.service_duration = time_in_units(rows[index].service, scale);
    customer.patterns.clear();
    for (std::uint64_t const pattern : rows[index].patterns) customer.patterns.push_back({.days = pattern});
    problem.customers.push_back(std::move(customer));
  }
  // Days with the same limits share a kind.
  std::map<std::pair<double, Amount>, std::size_t> kind_of_limits;
  for (int day = 0; day < days; ++day) {
    auto const [found, fresh] = kind_of_limits.try_emplace(limits[static_cast<std::size_t>(day)], problem.kinds.size());
    if (fresh) {
      VehicleKind kind{.count = vehicles, .days = 0};
      if (found->first.first > 0.0)
        kind.longest_duration = static_cast<Amount>(std::floor(found->first.first * scale + 1e-6));
      if (found->first.second > 0) kind.capacity = found->first.second;
      problem.kinds.push_back(kind);
    }
    problem.kinds[found->second].days |= std::uint64_t{1} << day;
  }
  return instance;
}

}  // namespace

std::variant<Instance, InstanceFault> read_instance(std::filesystem::path const& path) {
  try {
    Reader reader(path);
    auto const& first = reader.peek().words.front();
    bool const numbers = first.find_first_not_of("0123456789+-.") == std::string_view::npos;
    Instance instance = numbers ? read_periodic(reader) : LibraryFile(reader).read();
    // The file's own name is how instances are known; some files carry another one inside.
    instance.name = path.stem().string();
    auto const faults = faults_of(instance.problem);
    if (!faults.empty()) return InstanceFault{path.string() + ": " + faults.front()};
    return instance;
  } catch (Fault const& fault) {
    return InstanceFault{fault.line};
  }
}

}  // namespace brinecast::sim::search
