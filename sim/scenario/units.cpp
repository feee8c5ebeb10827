#include "sim/scenario/units.hpp"

#include <fmt/format.h>
#include <udunits2.h>

#include <array>
#include <charconv>
#include <cmath>
#include <map>
#include <memory>
#include <mutex>
#include <stdexcept>
#include <utility>

#include "sim/scenario/problems.hpp"

namespace brinecast::sim {

namespace {

// Molar masses in kg/mol: IUPAC standard atomic weights 2021 (abridged): C 12.011, N 14.007, O 15.999, H 1.008,
// Ca 40.078, B 10.81.
constexpr double molar_mass_CaCO3 = 0.100086;
constexpr double molar_mass_calcium = 0.040078;
constexpr double molar_mass_cyanuric_acid = 0.129075;
constexpr double molar_mass_boron = 0.01081;

constexpr std::array<QuantityInfo, 27> quantities{{
    {Quantity::share, "a share", "1", "50 %", 0, "%", "%", 1, 1},
    {Quantity::water_volume, "a volume", "m3", "60 m3", 0, "m3", "gal", 1, 0},
    {Quantity::chemical_volume, "a volume", "m3", "4 L", 0, "L", "gal", 1, 2},
    {Quantity::area, "an area", "m2", "32 m2", 0, "m2", "ft2", 1, 0},
    {Quantity::length, "a length", "m", "0.1 m", 0, "m", "ft", 2, 2},
    {Quantity::depth, "a depth", "m", "25 mm", 0, "mm", "in", 1, 2},
    {Quantity::distance, "a distance", "m", "12 km", 0, "km", "mi", 1, 1},
    {Quantity::duration, "a length of time", "s", "7 d", 0, "h", "h", 1, 1},
    {Quantity::mass, "a mass", "kg", "20 kg", 0, "kg", "lb", 1, 1},
    {Quantity::concentration, "a concentration", "kg m-3", "3200 ppm", 0, "mg/L", "ppm", 0, 0},
    {Quantity::alkalinity, "an alkalinity", "mol m-3", "80 mg/L", molar_mass_CaCO3 / 2, "mg/L as CaCO3", "ppm as CaCO3",
     0, 0},
    {Quantity::calcium, "a calcium hardness", "mol m-3", "250 mg/L", molar_mass_CaCO3, "mg/L as CaCO3", "ppm as CaCO3",
     0, 0},
    {Quantity::cyanuric_acid, "a stabiliser concentration", "mol m-3", "50 mg/L", molar_mass_cyanuric_acid, "mg/L",
     "ppm", 0, 0},
    {Quantity::borate, "a borate concentration", "mol m-3", "50 mg/L", molar_mass_boron, "mg/L as B", "ppm as B", 0, 0},
    {Quantity::flow, "a flow", "m3 s-1", "10 m3/h", 0, "m3/h", "gal/min", 1, 0},
    {Quantity::production, "a rate of production", "kg s-1", "0.6 kg/d", 0, "kg/d", "lb/d", 2, 2},
    {Quantity::temperature, "a temperature", "K", "28 degC", 0, "degC", "degF", 1, 1},
    {Quantity::temperature_change, "a change of temperature", "K", "2 K", 0, "K", "degF", 1, 1},
    {Quantity::speed, "a speed", "m s-1", "30 km/h", 0, "km/h", "mph", 0, 0},
    {Quantity::energy, "an energy", "J", "12 kWh", 0, "kWh", "kWh", 1, 1},
    {Quantity::power, "a power", "W", "1.1 kW", 0, "kW", "hp", 2, 2},
    {Quantity::voltage, "a voltage", "V", "24 V", 0, "V", "V", 1, 1},
    {Quantity::per_volume, "a rate per volume", "m-3", "0.1 m-3", 0, "1/m3", "1/gal", 3, 6},
    {Quantity::per_length, "a rate per length", "m-1", "0.7 m-1", 0, "1/m", "1/ft", 3, 3},
    {Quantity::per_time, "a rate", "s-1", "0.1 d-1", 0, "1/d", "1/d", 3, 3},
    {Quantity::irradiance, "an irradiance", "W m-2", "800 W/m2", 0, "W/m2", "W/m2", 0, 0},
    {Quantity::pressure, "a pressure", "Pa", "1013 hPa", 0, "hPa", "hPa", 0, 0},
}};

/// The trade's words and the short forms that UDUNITS reads otherwise or not at all. "gal" alone is the US gallon.
std::map<std::string, std::string, std::less<>> const& aliases() {
  static std::map<std::string, std::string, std::less<>> const all{{"gal", "US_liquid_gallon"},
                                                                   {"gals", "US_liquid_gallon"},
                                                                   {"gallon", "US_liquid_gallon"},
                                                                   {"gallons", "US_liquid_gallon"},
                                                                   {"qt", "US_liquid_quart"},
                                                                   {"floz", "US_fluid_ounce"},
                                                                   {"oz", "avoirdupois_ounce"},
                                                                   {"lbs", "lb"},
                                                                   {"sqft", "ft2"},
                                                                   {"cuft", "ft3"},
                                                                   {"gpm", "US_liquid_gallon/min"},
                                                                   {"mph", "mile/hour"},
                                                                   {"mi", "mile"},
                                                                   {"hp", "550 ft.lbf/s"},
                                                                   {"kWh", "kilowatt.hour"},
                                                                   {"Wh", "watt.hour"},
                                                                   {"wk", "week"},
                                                                   {"days", "day"},
                                                                   {"hr", "hour"},
                                                                   {"hrs", "hour"},
                                                                   {"mins", "minute"},
                                                                   {"litres", "litre"},
                                                                   {"liters", "litre"},
                                                                   {"inches", "inch"}};
  return all;
}

bool is_word(char c) {
  auto const code = static_cast<unsigned char>(c);
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || c == '%' || code >= 0x80;
}

/// Replaces whole words by their aliases; a digit after the word stays its exponent.
std::string with_aliases(std::string_view unit, Quantity kind) {
  QuantityInfo const& info = quantity_info(kind);
  bool const dissolved = kind == Quantity::concentration || info.molar_mass_kg_per_mol > 0;
  bool const warmth = kind == Quantity::temperature || kind == Quantity::temperature_change;
  std::string out;
  for (std::size_t i = 0; i < unit.size();) {
    std::size_t end = i;
    while (end < unit.size() && is_word(unit[end])) ++end;
    if (end == i) {
      out += unit[i++];
      continue;
    }
    std::string_view const word = unit.substr(i, end - i);
    if (dissolved && word == "ppm") {
      out += "(mg/L)";
    } else if (warmth && (word == "F" || word == "C")) {
      out += "deg" + std::string(word);
    } else if (kind == Quantity::alkalinity && (word == "meq" || word == "eq")) {
      out += word == "eq" ? "mol" : "mmol";
    } else if (auto const alias = aliases().find(word); alias != aliases().end()) {
      out += "(" + alias->second + ")";
    } else {
      out += word;
    }
    i = end;
  }
  return out;
}

struct FreeUnit {
  void operator()(ut_unit* unit) const { ut_free(unit); }
};
struct FreeConverter {
  void operator()(cv_converter* converter) const { cv_free(converter); }
};
using Unit = std::unique_ptr<ut_unit, FreeUnit>;
using Converter = std::unique_ptr<cv_converter, FreeConverter>;

/// UDUNITS-2 keeps a global status and is not safe to call from two threads: everything goes through one lock.
class UnitDatabase {
 public:
  static UnitDatabase& instance() {
    static UnitDatabase database;
    return database;
  }

  struct Answer {
    bool known = false;
    std::optional<UnitConversion> conversion;
  };
  Answer convert(std::string const& from, std::string const& to) {
    std::lock_guard const lock(mutex_);
    auto const found = answers_.find({from, to});
    if (found != answers_.end()) return found->second;
    Answer const answer = look_up(from, to);
    if (answers_.size() < 10'000) answers_.emplace(std::pair{from, to}, answer);
    return answer;
  }

 private:
  UnitDatabase() {
    ut_set_error_message_handler(ut_ignore);
    system_.reset(ut_read_xml(nullptr));
    if (!system_) {
      throw std::runtime_error(
          "the database of units (udunits2.xml, Debian package libudunits2-data) could not be read; install it or let "
          "UDUNITS2_XML_PATH name it");
    }
  }

  Answer look_up(std::string const& from, std::string const& to) {
    Unit const source(ut_parse(system_.get(), from.c_str(), UT_UTF8));
    if (!source) return {};
    Answer answer{.known = true, .conversion = {}};
    Unit const target(ut_parse(system_.get(), to.c_str(), UT_UTF8));
    if (!target) throw std::logic_error("unit " + to + " of the program's own table is not in the database of units");
    if (ut_are_convertible(source.get(), target.get()) == 0) return answer;
    Converter const converter(ut_get_converter(source.get(), target.get()));
    if (!converter) return answer;
    double const offset = cv_convert_double(converter.get(), 0.0);
    // Far from the offset, so that its digits do not eat the slope's.
    double const far = 1048576.0;
    double const slope = (cv_convert_double(converter.get(), far) - offset) / far;
    // Reciprocals and logarithms (s against Hz, dB) are not units of the same kind.
    double const probe = slope * 3.0 + offset;
    bool const linear = std::fabs(cv_convert_double(converter.get(), 3.0) - probe) <= 1e-9 * std::fabs(probe) + 1e-300;
    if (std::isfinite(slope) && slope > 0.0 && std::isfinite(offset) && linear) {
      answer.conversion = UnitConversion{slope, offset};
    }
    return answer;
  }

  struct FreeSystem {
    void operator()(ut_system* system) const { ut_free_system(system); }
  };
  std::mutex mutex_;
  std::unique_ptr<ut_system, FreeSystem> system_;
  std::map<std::pair<std::string, std::string>, Answer> answers_;
};

std::string_view trimmed(std::string_view text) {
  auto const first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// Only what a unit can be made of, so that no other grammar of UDUNITS (dates, logarithms) is reached.
bool plausible_unit(std::string_view unit) {
  if (unit.empty() || unit.size() > 40) return false;
  // "1 50 m3" is no 50 m3.
  if (unit.front() >= '0' && unit.front() <= '9' && unit != "1" && unit.substr(0, 2) != "1/") return false;
  int digits_in_a_row = 0;
  for (char const c : unit) {
    bool const digit = c >= '0' && c <= '9';
    digits_in_a_row = digit ? digits_in_a_row + 1 : 0;
    if (digits_in_a_row > 2) return false;
    if (!digit && !is_word(c) && c != '/' && c != '.' && c != '-' && c != '^' && c != '*' && c != ' ') return false;
  }
  return true;
}

/// `unit` without its "as CaCO3"; the molar mass per equivalent that this counts in, 0 when it is not of this kind.
struct CountedUnit {
  std::string_view unit;
  double molar_mass_kg_per_mol;
};
std::optional<CountedUnit> split_counted_as(std::string_view unit, Quantity kind) {
  auto const as = unit.find(" as ");
  if (as == std::string_view::npos) return CountedUnit{unit, quantity_info(kind).molar_mass_kg_per_mol};
  std::string_view const substance = trimmed(unit.substr(as + 4));
  std::string_view const bare = trimmed(unit.substr(0, as));
  double const own = quantity_info(kind).molar_mass_kg_per_mol;
  bool const hardness_like = kind == Quantity::alkalinity || kind == Quantity::calcium;
  if (hardness_like && substance == "CaCO3") return CountedUnit{bare, own};
  if (kind == Quantity::calcium && substance == "Ca") return CountedUnit{bare, molar_mass_calcium};
  if (kind == Quantity::borate && (substance == "B" || substance == "boron")) return CountedUnit{bare, own};
  bool const as_chlorine = kind == Quantity::concentration || kind == Quantity::production || kind == Quantity::mass;
  if (as_chlorine && substance == "Cl2") return CountedUnit{bare, 0.0};
  return std::nullopt;
}

UnitDatabase::Answer convert_to(std::string const& unit, Quantity kind) {
  return UnitDatabase::instance().convert(unit, std::string(quantity_info(kind).si_unit));
}

/// "(lb is a mass)" for a unit of another kind, so that a swapped column is recognised.
std::string measured_instead(std::string_view unit) {
  for (auto const& info : quantities) {
    if (info.kind == Quantity::share || info.molar_mass_kg_per_mol > 0) continue;
    if (convert_to(with_aliases(unit, info.kind), info.kind).conversion) {
      return fmt::format("{} is {}", unit, info.phrase);
    }
  }
  return fmt::format("{} measures something else", unit);
}

}  // namespace

QuantityInfo const& quantity_info(Quantity kind) { return quantities.at(static_cast<std::size_t>(kind)); }

std::vector<std::string> common_units(Quantity kind) {
  switch (kind) {
    case Quantity::share:
      return {"%"};
    case Quantity::water_volume:
      return {"m3", "gal", "L", "ft3"};
    case Quantity::chemical_volume:
      return {"L", "mL", "m3", "gal", "floz"};
    case Quantity::area:
      return {"m2", "ft2"};
    case Quantity::length:
    case Quantity::depth:
      return {"m", "cm", "mm", "ft", "in"};
    case Quantity::distance:
      return {"km", "m", "mi", "ft"};
    case Quantity::duration:
      return {"d", "h", "min", "s", "week"};
    case Quantity::mass:
      return {"kg", "g", "lb", "oz"};
    case Quantity::concentration:
    case Quantity::cyanuric_acid:
    case Quantity::borate:
      return {"mg/L", "ppm", "g/L", "kg/m3"};
    case Quantity::alkalinity:
    case Quantity::calcium:
      return {"mg/L", "ppm", "mol/m3", "mmol/L"};
    case Quantity::flow:
      return {"m3/h", "L/min", "L/s", "gal/min", "gal/d", "L/d"};
    case Quantity::production:
      return {"kg/d", "g/h", "lb/d"};
    case Quantity::temperature:
      return {"degC", "degF", "K"};
    case Quantity::temperature_change:
      return {"K", "degF"};
    case Quantity::speed:
      return {"km/h", "m/s", "mph"};
    case Quantity::energy:
      return {"kWh", "MJ"};
    case Quantity::power:
      return {"kW", "W", "hp"};
    case Quantity::voltage:
      return {"V"};
    case Quantity::per_volume:
      return {"1/m3", "1/gal"};
    case Quantity::per_length:
      return {"1/m", "1/ft"};
    case Quantity::per_time:
      return {"1/d", "1/h", "1/s"};
    case Quantity::irradiance:
      return {"W/m2"};
    case Quantity::pressure:
      return {"hPa", "Pa", "kPa"};
  }
  return {};
}

std::optional<double> read_number(std::string_view text) {
  text = trimmed(text);
  if (!text.empty() && text.front() == '+') text.remove_prefix(1);
  double value = 0.0;
  auto const [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

ReadUnit read_unit(std::string_view unit, Quantity kind) {
  unit = trimmed(unit);
  auto const counted = split_counted_as(unit, kind);
  if (!counted) {
    return {{}, fmt::format("it is not counted{}", unit.substr(unit.find(" as ")))};
  }
  UnitDatabase::Answer answer;
  if (plausible_unit(counted->unit)) {
    std::string const parsed = with_aliases(counted->unit, kind);
    answer = convert_to(parsed, kind);
    if (kind == Quantity::temperature_change && answer.conversion) answer.conversion->offset = 0.0;
    if (!answer.conversion && counted->molar_mass_kg_per_mol > 0) {
      UnitDatabase::Answer const by_mass = convert_to(parsed, Quantity::concentration);
      answer.known = answer.known || by_mass.known;
      if (by_mass.conversion) {
        answer.conversion = UnitConversion{by_mass.conversion->slope / counted->molar_mass_kg_per_mol, 0.0};
      }
    }
  }
  if (answer.conversion) return {answer.conversion, {}};
  if (answer.known) return {{}, measured_instead(unit)};
  std::string const near = nearest_word(unit, common_units(kind));
  return {{}, near.empty() ? "unit unknown" : fmt::format("unit unknown, did you mean {}?", near)};
}

ReadQuantity read_quantity(std::string_view text, Quantity kind) {
  QuantityInfo const& info = quantity_info(kind);
  std::string_view const all = trimmed(text);
  auto const wrong = [&](std::string const& why) {
    return ReadQuantity{{},
                        fmt::format("\"{}\" is not {} ({}); write for example \"{}\"", text.substr(0, 60), info.phrase,
                                    why, info.example)};
  };
  if (all.empty()) return wrong("it is empty");
  std::string_view rest = all;
  if (rest.front() == '+') rest.remove_prefix(1);
  double number = 0.0;
  auto const [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (error == std::errc::result_out_of_range) return wrong("the number is too large or too small");
  if (error != std::errc() || !std::isfinite(number)) return wrong("it does not start with a number");
  std::string_view const after = rest.substr(static_cast<std::size_t>(end - rest.data()));
  if (!after.empty() && (after.front() == ',' || after.front() == '\'')) {
    return wrong("digits are not grouped and the decimal sign is a point");
  }
  std::string_view const unit = trimmed(after);
  if (unit.empty()) {
    if (kind == Quantity::share) return {number, {}, number};
    return wrong("the unit is missing");
  }
  ReadUnit const read = read_unit(unit, kind);
  if (!read.conversion) return wrong(read.problem);
  double const value = read.conversion->slope * number + read.conversion->offset;
  if (!std::isfinite(value)) return wrong("it is too large");
  return {value, {}, number};
}

ReadQuantity read_in_unit(std::string_view text, std::string_view unit) {
  std::string_view const all = trimmed(text);
  auto const wrong = [&](std::string_view why) {
    return ReadQuantity{
        .value = {},
        .problem = fmt::format("\"{}\" is not a number with the unit {} ({})", text.substr(0, 60), unit, why)};
  };
  double number = 0.0;
  auto const [end, error] = std::from_chars(all.data(), all.data() + all.size(), number);
  if (error != std::errc() || !std::isfinite(number)) return wrong("it does not start with a number");
  std::string_view const own = trimmed(all.substr(static_cast<std::size_t>(end - all.data())));
  if (own.empty()) return wrong("the unit is missing");
  if (!plausible_unit(own)) return wrong("unit unknown");
  auto const answer = UnitDatabase::instance().convert(with_aliases(own, Quantity::share), std::string(unit));
  if (!answer.conversion) return wrong(answer.known ? "that unit measures something else" : "unit unknown");
  return {answer.conversion->slope * number + answer.conversion->offset, {}, number};
}

double shown_value(double value_SI, Quantity kind, UnitSystem system) {
  ReadUnit const read = read_unit(shown_unit(kind, system), kind);
  return (value_SI - read.conversion->offset) / read.conversion->slope;
}

std::string_view shown_unit(Quantity kind, UnitSystem system) {
  QuantityInfo const& info = quantity_info(kind);
  return system == UnitSystem::si ? info.shown_unit_si : info.shown_unit_us;
}

std::string format_quantity(double value_SI, Quantity kind, UnitSystem system, int decimals) {
  QuantityInfo const& info = quantity_info(kind);
  int const places = decimals >= 0 ? decimals : (system == UnitSystem::si ? info.decimals_si : info.decimals_us);
  return fmt::format("{:.{}f} {}", shown_value(value_SI, kind, system), places, shown_unit(kind, system));
}

}  // namespace brinecast::sim
