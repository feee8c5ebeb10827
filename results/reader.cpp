#include "results/reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <numeric>
#include <system_error>

#include "results/digest.hpp"
#include "results/hdf5_memory.hpp"
#include "results/hdf5_types.hpp"
#include "results/text_heaps.hpp"
#include "sim/scenario/problems.hpp"
#include "sim/scenario/shown_text.hpp"

namespace brinecast::results {

struct ResultFile::Parts {
  std::filesystem::path path;
  H5::H5File file;
  RunDescription run;
  RunRecord record;
};

namespace {

[[noreturn]] void refuse(std::filesystem::path const& path, std::string const& why) {
  throw ResultError(fmt::format("{}: {}", path.string(), why));
}

void check_is_hdf5(std::filesystem::path const& path) {
  std::error_code error;
  auto const status = std::filesystem::status(path, error);
  bool const openable = std::filesystem::is_regular_file(status) || std::filesystem::is_directory(status);
  if (std::filesystem::exists(status) && !openable) refuse(path, "is not a regular file; name a result file");
  std::ifstream file(path, std::ios::binary);
  if (!file) refuse(path, "cannot be opened; is the name right?");
  constexpr std::string_view signature = "\x89HDF\r\n\x1a\n";
  std::string begin(signature.size(), '\0');
  file.read(begin.data(), static_cast<std::streamsize>(begin.size()));
  if (file.gcount() == 0) refuse(path, "is empty or a directory, not a result file");
  if (begin != signature) {
    refuse(path, "is no HDF5 file; a result file is what `brinecast run --out` wrote");
  }
}

std::string text_attribute(H5::H5File const& file, char const* name) {
  auto const attribute = file.openAttribute(name);
  std::string value;
  attribute.read(attribute.getStrType(), value);
  return value;
}

double number_attribute(H5::H5File const& file, char const* name) {
  double value = 0.0;
  file.openAttribute(name).read(H5::PredType::NATIVE_DOUBLE, &value);
  return value;
}

std::vector<std::size_t> shape_of(H5::DataSet const& dataset) {
  auto const space = dataset.getSpace();
  std::vector<hsize_t> sizes(static_cast<std::size_t>(space.getSimpleExtentNdims()));
  space.getSimpleExtentDims(sizes.data());
  return {sizes.begin(), sizes.end()};
}

/// Length of a variable that spans one axis.
std::size_t length_of(H5::H5File const& file, std::string const& name) {
  auto const sizes = shape_of(file.openDataSet(name));
  if (sizes.size() != 1)
    throw H5::DataSetIException(name, fmt::format("{} has {} axes instead of 1", name, sizes.size()));
  return sizes.front();
}

/// The run's lists are written in full, so that what a list claims to hold must fit the bytes kept for it: no damaged
/// length makes the reader ask for memory that the file cannot fill. Deflate packs at most 1032 to 1 (zlib, technical
/// details).
void check_claim(H5::H5File const& file, std::string const& name) {
  auto const dataset = file.openDataSet(name);
  constexpr double most_packed = 1032.0;
  auto const claimed = static_cast<double>(dataset.getSpace().getSimpleExtentNpoints());
  auto const kept_bytes = static_cast<double>(std::min<hsize_t>(dataset.getStorageSize(), file.getFileSize()));
  if (claimed * static_cast<double>(dataset.getDataType().getSize()) > most_packed * kept_bytes) {
    throw H5::DataSetIException(name,
                                fmt::format("{} claims {:.0f} values in {:.0f} bytes", name, claimed, kept_bytes));
  }
}

std::vector<double> numbers(H5::H5File const& file, std::string const& name) {
  auto const dataset = file.openDataSet(name);
  std::vector<double> values(static_cast<std::size_t>(dataset.getSpace().getSimpleExtentNpoints()));
  if (!values.empty()) dataset.read(values.data(), H5::PredType::NATIVE_DOUBLE);
  return values;
}

std::vector<double> list_of_numbers(H5::H5File const& file, std::string const& name) {
  check_claim(file, name);
  return numbers(file, name);
}

std::vector<std::string> texts(H5::H5File const& file, std::string const& name) {
  check_claim(file, name);
  auto const dataset = file.openDataSet(name);
  std::vector<char*> pointers(static_cast<std::size_t>(dataset.getSpace().getSimpleExtentNpoints()));
  if (pointers.empty()) return {};
  auto const type = text_type();
  dataset.read(pointers.data(), type);
  std::vector<std::string> values;
  for (char const* const pointer : pointers) values.emplace_back(pointer == nullptr ? "" : pointer);
  H5::DataSet::vlenReclaim(pointers.data(), type, dataset.getSpace());
  return values;
}

/// Reads one field of every entry of a list of the description; an absent variable belongs to an empty list.
class Lists {
 public:
  explicit Lists(H5::H5File const& file) : file_(file) {}
  template <class Entry, class Member>
  void read(std::vector<Entry>& list, std::string const& name, Member Entry::*member) const {
    if (!file_.nameExists(name)) return;
    if constexpr (std::is_same_v<Member, std::string>) {
      auto const values = texts(file_, name);
      list.resize(values.size());
      for (std::size_t i = 0; i < values.size(); ++i) list[i].*member = values[i];
    } else {
      auto const values = list_of_numbers(file_, name);
      list.resize(values.size());
      for (std::size_t i = 0; i < values.size(); ++i) list[i].*member = static_cast<Member>(values[i]);
    }
  }

 private:
  H5::H5File const& file_;
};

std::chrono::sys_days first_day_of(H5::H5File const& file) {
  auto const dataset = file.openDataSet("day");
  std::string units;
  auto const attribute = dataset.openAttribute("units");
  attribute.read(attribute.getStrType(), units);
  int year = 0;
  unsigned month = 0, day = 0;
  if (std::sscanf(units.c_str(), "days since %d-%u-%u", &year, &month, &day) != 3) {
    throw ResultError(fmt::format("the units of day are \"{}\", expected \"days since YYYY-MM-DD\"", units));
  }
  std::chrono::year_month_day const date{std::chrono::year{year}, std::chrono::month{month}, std::chrono::day{day}};
  if (!date.ok()) throw ResultError(fmt::format("the units of day are \"{}\", which is no date", units));
  return date;
}

RunDescription read_run(H5::H5File const& file) {
  RunDescription run;
  run.program_version = text_attribute(file, "program_version");
  run.vector_target = text_attribute(file, "vector_target");
  run.scenario_name = text_attribute(file, "scenario_name");
  run.scenario_path = text_attribute(file, "scenario_path");
  run.scenario_text = text_attribute(file, "scenario");
  run.scenario_sha256 = text_attribute(file, "scenario_sha256");
  run.currency = text_attribute(file, "currency");
  run.road_attribution = text_attribute(file, "road_attribution");
  run.route_lines = text_attribute(file, "route_lines");
  for (auto const& band : band_table()) {
    run.bands.*band.member = number_attribute(file, fmt::format("band_{}", band.name).c_str());
  }
  file.openAttribute("seed").read(H5::PredType::NATIVE_UINT64, &run.seed);
  run.utc_offset_h = number_attribute(file, "utc_offset_h");
  check_claim(file, "replicate");
  check_claim(file, "day");
  run.replicates = static_cast<std::uint32_t>(length_of(file, "replicate"));
  run.days = static_cast<int>(length_of(file, "day"));
  run.first_day = first_day_of(file);
  Lists const lists(file);
  lists.read(run.policies, "policy", &PolicyEntry::name);
  lists.read(run.policies, "policy_comment", &PolicyEntry::comment);
  lists.read(run.policies, "policy_visit_interval", &PolicyEntry::visit_interval_d);
  lists.read(run.policies, "policy_plan_period", &PolicyEntry::plan_period_days);
  lists.read(run.pools, "pool", &PoolEntry::name);
  lists.read(run.pools, "pool_neighbourhood", &PoolEntry::neighbourhood);
  lists.read(run.pools, "pool_class", &PoolEntry::pool_class);
  lists.read(run.pools, "pool_site", &PoolEntry::site);
  lists.read(run.pools, "pool_longitude", &PoolEntry::longitude_deg);
  lists.read(run.pools, "pool_latitude", &PoolEntry::latitude_deg);
  lists.read(run.pools, "pool_volume", &PoolEntry::water_volume_m3);
  lists.read(run.technicians, "technician", &TechnicianEntry::name);
  lists.read(run.technicians, "technician_start_longitude", &TechnicianEntry::start_longitude_deg);
  lists.read(run.technicians, "technician_start_latitude", &TechnicianEntry::start_latitude_deg);
  lists.read(run.technicians, "technician_end_longitude", &TechnicianEntry::end_longitude_deg);
  lists.read(run.technicians, "technician_end_latitude", &TechnicianEntry::end_latitude_deg);
  lists.read(run.technicians, "technician_shift_start", &TechnicianEntry::shift_start_s);
  lists.read(run.technicians, "technician_shift_length", &TechnicianEntry::shift_length_s);
  lists.read(run.technicians, "technician_break", &TechnicianEntry::break_s);
  lists.read(run.technicians, "technician_overtime_limit", &TechnicianEntry::overtime_limit_s);
  lists.read(run.technicians, "technician_payload", &TechnicianEntry::payload_kg);
  lists.read(run.parameters, "parameter", &ParameterEntry::name);
  lists.read(run.parameters, "parameter_units", &ParameterEntry::units);
  lists.read(run.parameters, "parameter_meaning", &ParameterEntry::meaning);
  lists.read(run.parameters, "parameter_source", &ParameterEntry::source);
  lists.read(run.parameters, "parameter_value", &ParameterEntry::value);
  lists.read(run.supplies, "supply", &SupplyEntry::name);
  lists.read(run.supplies, "supply_units", &SupplyEntry::units);
  lists.read(run.supplies, "supply_pack", &SupplyEntry::pack);
  lists.read(run.supplies, "supply_pack_size", &SupplyEntry::pack_size);
  lists.read(run.supplies, "supply_packs_per_pallet", &SupplyEntry::packs_per_pallet);
  lists.read(run.supplies, "supply_mass_per_unit", &SupplyEntry::mass_per_unit_kg);
  lists.read(run.supplies, "supply_lead_time", &SupplyEntry::lead_time_d);
  lists.read(run.supplies, "supply_price", &SupplyEntry::price);
  lists.read(run.supplies, "supply_in_stock", &SupplyEntry::in_stock);
  lists.read(run.planned_stops, "planned_policy", &PlannedStopEntry::policy);
  lists.read(run.planned_stops, "planned_day", &PlannedStopEntry::day);
  lists.read(run.planned_stops, "planned_technician", &PlannedStopEntry::technician);
  lists.read(run.planned_stops, "planned_position", &PlannedStopEntry::position);
  lists.read(run.planned_stops, "planned_pool", &PlannedStopEntry::pool);
  lists.read(run.planned_stops, "planned_arrival", &PlannedStopEntry::arrival_s);
  lists.read(run.planned_stops, "planned_start", &PlannedStopEntry::start_s);
  lists.read(run.planned_stops, "planned_leave", &PlannedStopEntry::leave_s);
  lists.read(run.planned_rounds, "round_policy", &PlannedRoundEntry::policy);
  lists.read(run.planned_rounds, "round_day", &PlannedRoundEntry::day);
  lists.read(run.planned_rounds, "round_technician", &PlannedRoundEntry::technician);
  lists.read(run.planned_rounds, "round_leave_start", &PlannedRoundEntry::leave_start_s);
  lists.read(run.planned_rounds, "round_reach_end", &PlannedRoundEntry::reach_end_s);
  lists.read(run.planned_rounds, "round_driving_time", &PlannedRoundEntry::driving_s);
  lists.read(run.planned_rounds, "round_driving_distance", &PlannedRoundEntry::driving_m);
  lists.read(run.planned_rounds, "round_overtime", &PlannedRoundEntry::overtime_s);
  lists.read(run.planned_rounds, "round_load", &PlannedRoundEntry::load_kg);
  lists.read(run.planned_rounds, "round_route_points", &PlannedRoundEntry::route_points);
  lists.read(run.route_points, "route_longitude", &RoutePointEntry::longitude_deg);
  lists.read(run.route_points, "route_latitude", &RoutePointEntry::latitude_deg);
  lists.read(run.input_files, "input_file", &InputFileEntry::path);
  lists.read(run.input_files, "input_sha256", &InputFileEntry::sha256);
  lists.read(run.input_files, "input_text", &InputFileEntry::text);
  for (double const works : list_of_numbers(file, "day_working")) run.working_days.push_back(works > 0.0 ? 1 : 0);
  if (file.nameExists("trace_pool")) {
    for (auto const& name : texts(file, "trace_pool")) {
      auto const pool =
          std::find_if(run.pools.begin(), run.pools.end(), [&](auto const& entry) { return entry.name == name; });
      if (pool != run.pools.end()) run.trace_pools.push_back(static_cast<std::uint32_t>(pool - run.pools.begin()));
    }
  }
  return run;
}

/// Names go to terminals and tables as they are.
void check_names(RunDescription const& run, std::filesystem::path const& path) {
  auto const check = [&](std::string const& name) {
    if (!sim::valid_utf8(name) || sim::holds_control(name)) {
      refuse(path, fmt::format("holds a name with control characters, \"{}\"; use the file as `brinecast run` wrote it",
                               sim::printable(name)));
    }
  };
  check(run.scenario_name);
  check(run.currency);
  for (auto const& policy : run.policies) check(policy.name);
  for (auto const& technician : run.technicians) check(technician.name);
  for (auto const& pool : run.pools) {
    for (auto const* text : {&pool.name, &pool.neighbourhood, &pool.pool_class, &pool.site}) check(*text);
  }
}

RunRecord read_record(H5::H5File const& file) {
  RunRecord record;
  record.created = text_attribute(file, "created");
  record.command = text_attribute(file, "command");
  record.nanoseconds_per_pool_hour = number_attribute(file, "nanoseconds_per_pool_hour");
  record.kernel_nanoseconds_per_pool_hour = number_attribute(file, "kernel_nanoseconds_per_pool_hour");
  record.largest_book_error = number_attribute(file, "largest_book_error");
  record.complete = number_attribute(file, "complete") > 0.0;
  return record;
}

void check_type_and_version(H5::H5File const& file, std::filesystem::path const& path) {
  std::string const type = file.attrExists("file_type") ? text_attribute(file, "file_type") : std::string{};
  if (type != file_type) {
    refuse(path,
           fmt::format("is not a result file of this program: its file_type is \"{}\", expected \"{}\"; name a file "
                       "that `brinecast run` wrote",
                       type, file_type));
  }
  int const version = static_cast<int>(number_attribute(file, "format_version"));
  if (version != format_version) {
    refuse(path, fmt::format("has format_version {} (written by program version {}), this program reads {}; {}",
                             version, text_attribute(file, "program_version"), format_version,
                             version > format_version ? "update the program" : "run the scenario again"));
  }
}

struct LinksFound {
  std::vector<std::string> hard, others;
};

herr_t note_link(hid_t, char const* name, H5L_info_t const* link, void* found) {
  auto& links = *static_cast<LinksFound*>(found);
  (link->type == H5L_TYPE_HARD ? links.hard : links.others).emplace_back(name);
  return 0;
}

/// Refuses a file that refers to others, before anything in it is read: links, and variables whose values lie
/// elsewhere, could make the reader open whatever a crafted file names.
void check_stands_alone(H5::H5File const& file, std::filesystem::path const& path) {
  constexpr std::string_view remedy =
      "a result file refers to nothing outside itself: use the file as `brinecast run` wrote it";
  LinksFound links;
  if (H5Lvisit(file.getId(), H5_INDEX_NAME, H5_ITER_NATIVE, note_link, &links) < 0) {
    refuse(path, "is damaged or cut off (its list of variables cannot be read); run it again or restore a copy");
  }
  if (!links.others.empty()) refuse(path, fmt::format("holds a link, {}; {}", links.others.front(), remedy));
  for (auto const& name : links.hard) {
    if (file.childObjType(name) != H5O_TYPE_DATASET) continue;
    auto const creation = file.openDataSet(name).getCreatePlist();
    if (creation.getExternalCount() > 0 || creation.getLayout() == H5D_VIRTUAL) {
      refuse(path, fmt::format("keeps the values of {} in another file; {}", name, remedy));
    }
  }
}

void check_variables(H5::H5File const& file, RunDescription const& run, std::filesystem::path const& path) {
  auto lengths = axis_lengths(run);
  lengths[static_cast<std::size_t>(Axis::visit)] = length_of(file, "visit");
  for (auto const& variable : variables()) {
    std::vector<std::size_t> expected;
    bool stored = true;
    for (auto const axis : variable.axes) {
      expected.push_back(lengths[static_cast<std::size_t>(axis)]);
      stored = stored && (axis == Axis::visit || expected.back() > 0);
    }
    if (!stored) continue;
    std::string const name(variable.name);
    if (!file.nameExists(name)) refuse(path, fmt::format("variable {} is missing; the file is damaged", name));
    auto const dataset = file.openDataSet(name);
    if (auto const found = shape_of(dataset); found != expected) {
      refuse(path, fmt::format("variable {} has shape [{}], expected [{}]", name, fmt::join(found, ", "),
                               fmt::join(expected, ", ")));
    }
    if (variable.storage == Storage::text) continue;
    std::string units;
    auto const attribute = dataset.openAttribute("units");
    attribute.read(attribute.getStrType(), units);
    if (units != units_of(variable, run)) {
      refuse(path, fmt::format("variable {} has units \"{}\", expected \"{}\"", name, units, units_of(variable, run)));
    }
  }
}

template <class Entries>
std::size_t index_of_name(Entries const& entries, std::string const& name, std::string_view what,
                          std::filesystem::path const& path) {
  std::vector<std::string> names;
  for (auto const& entry : entries) {
    if (entry.name == name) return names.size();
    names.push_back(entry.name);
  }
  std::string const near = sim::nearest_word(name, names);
  constexpr std::size_t most_listed = 6;
  std::string const all = fmt::format("the file has \"{}\"", fmt::join(names, "\", \""));
  std::string const remedy = names.empty()   ? "the file has none"
                             : !near.empty() ? fmt::format("did you mean \"{}\"?", near)
                             : names.size() <= most_listed
                                 ? all
                                 : fmt::format("the file has {}, such as \"{}\"", names.size(), names.front());
  throw ResultError(fmt::format("{}: there is no {} \"{}\"; {}", path.string(), what, name, remedy));
}

}  // namespace

ResultFile::ResultFile(std::filesystem::path path) : parts_(std::make_unique<Parts>()) {
  parts_->path = std::move(path);
  check_is_hdf5(parts_->path);
  check_text_heaps(parts_->path);
  H5::Exception::dontPrint();
  ask_for_memory_of_hdf5();
  H5PLset_loading_state(0);  // no code of others: a filter that HDF5 does not bring along is refused
  try {
    parts_->file.openFile(parts_->path.string(), H5F_ACC_RDONLY);
    check_stands_alone(parts_->file, parts_->path);
    check_type_and_version(parts_->file, parts_->path);
    parts_->run = read_run(parts_->file);
    if (sha256(to_text(parts_->run)) != text_attribute(parts_->file, "description_sha256")) {
      refuse(parts_->path, "is damaged: its names, plans or provenance do not fit their digest; restore a copy");
    }
    check_names(parts_->run, parts_->path);
    parts_->record = read_record(parts_->file);
    check_variables(parts_->file, parts_->run, parts_->path);
  } catch (H5::Exception const& error) {
    refuse(parts_->path, fmt::format("is damaged or cut off ({}); run it again or restore a copy", words_of(error)));
  }
}

ResultFile::ResultFile(ResultFile&&) noexcept = default;
ResultFile::~ResultFile() = default;

std::filesystem::path const& ResultFile::path() const { return parts_->path; }
RunDescription const& ResultFile::run() const { return parts_->run; }
RunRecord const& ResultFile::record() const { return parts_->record; }

std::size_t ResultFile::policy_named(std::string const& name) const {
  return index_of_name(parts_->run.policies, name, "policy", parts_->path);
}
std::size_t ResultFile::pool_named(std::string const& name) const {
  return index_of_name(parts_->run.pools, name, "pool", parts_->path);
}

bool ResultFile::has(std::string_view variable) const { return parts_->file.nameExists(std::string(variable)); }

std::vector<std::size_t> ResultFile::shape(std::string_view variable) const {
  try {
    return shape_of(parts_->file.openDataSet(std::string(variable)));
  } catch (H5::Exception const& error) {
    refuse(parts_->path, fmt::format("variable {} is damaged ({})", variable, words_of(error)));
  }
}

std::vector<double> ResultFile::read(std::string_view variable) const {
  try {
    return numbers(parts_->file, std::string(variable));
  } catch (H5::Exception const& error) {
    refuse(parts_->path, fmt::format("variable {} is damaged ({})", variable, words_of(error)));
  }
}

std::vector<double> ResultFile::read_task(std::string_view variable, std::size_t policy,
                                          std::uint32_t replicate) const {
  try {
    auto const dataset = parts_->file.openDataSet(std::string(variable));
    auto const sizes = shape_of(dataset);
    std::vector<hsize_t> start(sizes.size(), 0), count(sizes.begin(), sizes.end());
    start.at(0) = policy;
    start.at(1) = replicate;
    count[0] = count[1] = 1;
    auto const space = dataset.getSpace();
    space.selectHyperslab(H5S_SELECT_SET, count.data(), start.data());
    H5::DataSpace const memory(static_cast<int>(count.size()), count.data());
    std::vector<double> values(std::accumulate(sizes.begin() + 2, sizes.end(), std::size_t{1}, std::multiplies<>{}));
    dataset.read(values.data(), H5::PredType::NATIVE_DOUBLE, memory, space);
    return values;
  } catch (H5::Exception const& error) {
    refuse(parts_->path, fmt::format("variable {} is damaged ({})", variable, words_of(error)));
  }
}

std::vector<std::uint32_t> ResultFile::paired_replicates() const {
  auto const complete = read("task_complete");
  std::vector<std::uint32_t> replicates;
  for (std::uint32_t r = 0; r < parts_->run.replicates; ++r) {
    bool all = true;
    for (std::size_t p = 0; p < parts_->run.policies.size(); ++p) {
      all = all && complete[p * parts_->run.replicates + r] > 0.0;
    }
    if (all) replicates.push_back(r);
  }
  return replicates;
}

}  // namespace brinecast::results
