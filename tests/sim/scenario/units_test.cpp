// Units against published factors: Thompson and Taylor, Guide for the Use of the International System of Units, NIST
// Special Publication 811, 2008, appendix B.8 (seven digits, or exact).

#include "sim/scenario/units.hpp"

#include <catch2/catch.hpp>
#include <thread>

#include "sim/scenario/problems.hpp"

using namespace brinecast::sim;

namespace {

double in_SI(std::string_view text, Quantity kind) {
  ReadQuantity const read = read_quantity(text, kind);
  INFO(text << ": " << read.problem);
  REQUIRE(read.value.has_value());
  return *read.value;
}

constexpr int kinds = static_cast<int>(Quantity::pressure) + 1;

}  // namespace

TEST_CASE("US customary units convert by the published factors", "[sim][scenario][published]") {
  struct Factor {
    std::string_view text;
    Quantity kind;
    double value_SI;
  };
  for (auto const& factor :
       {Factor{"1 gal", Quantity::water_volume, 3.785412e-3}, Factor{"1 ft3", Quantity::water_volume, 2.831685e-2},
        Factor{"1 floz", Quantity::chemical_volume, 2.957353e-5},
        Factor{"1 qt", Quantity::chemical_volume, 9.463529e-4}, Factor{"1 lb", Quantity::mass, 4.535924e-1},
        Factor{"1 oz", Quantity::mass, 2.834952e-2}, Factor{"1 ft", Quantity::length, 3.048e-1},
        Factor{"1 in", Quantity::depth, 2.54e-2}, Factor{"1 mi", Quantity::distance, 1.609344e3},
        Factor{"1 ft2", Quantity::area, 9.290304e-2}, Factor{"1 gpm", Quantity::flow, 6.309020e-5},
        Factor{"1 gal/min", Quantity::flow, 6.309020e-5}, Factor{"1 mph", Quantity::speed, 4.4704e-1},
        Factor{"1 hp", Quantity::power, 7.456999e2}, Factor{"1 kWh", Quantity::energy, 3.6e6},
        Factor{"1 psi", Quantity::pressure, 6.894757e3}}) {
    CHECK(in_SI(factor.text, factor.kind) == Approx(factor.value_SI).epsilon(2e-7));
  }
}

TEST_CASE("temperatures keep their zero and changes of temperature do not", "[sim][scenario][unit]") {
  CHECK(in_SI("32 degF", Quantity::temperature) == Approx(273.15).epsilon(1e-12));
  CHECK(in_SI("212 degF", Quantity::temperature) == Approx(373.15).epsilon(1e-12));
  CHECK(in_SI("82 F", Quantity::temperature) == Approx(273.15 + 50.0 * 5 / 9).epsilon(1e-12));
  CHECK(in_SI("28 \u00b0C", Quantity::temperature) == Approx(301.15).epsilon(1e-12));
  CHECK(in_SI("9 degF", Quantity::temperature_change) == Approx(5.0).epsilon(1e-12));
  CHECK(in_SI("5 degC", Quantity::temperature_change) == Approx(5.0).epsilon(1e-12));
}

TEST_CASE("parts per million mean milligrams a litre of what the kind is counted as", "[sim][scenario][unit]") {
  CHECK(in_SI("3200 ppm", Quantity::concentration) == Approx(3.2).epsilon(1e-12));
  CHECK(in_SI("3200 mg/L", Quantity::concentration) == Approx(3.2).epsilon(1e-12));
  // One equivalent a cubic metre is 50.04 mg/L as CaCO3, one mole 100.09 mg/L (molar masses: IUPAC 2021).
  CHECK(in_SI("50.043 ppm", Quantity::alkalinity) == Approx(1.0).epsilon(1e-5));
  CHECK(in_SI("50.043 mg/L as CaCO3", Quantity::alkalinity) == Approx(1.0).epsilon(1e-5));
  CHECK(in_SI("1.6 meq/L", Quantity::alkalinity) == Approx(1.6).epsilon(1e-12));
  CHECK(in_SI("100.086 ppm as CaCO3", Quantity::calcium) == Approx(1.0).epsilon(1e-5));
  CHECK(in_SI("40.078 mg/L as Ca", Quantity::calcium) == Approx(1.0).epsilon(1e-5));
  CHECK(in_SI("129.075 ppm", Quantity::cyanuric_acid) == Approx(1.0).epsilon(1e-5));
  CHECK(in_SI("10.81 mg/L as B", Quantity::borate) == Approx(1.0).epsilon(1e-5));
  CHECK(in_SI("0.6 kg/d as Cl2", Quantity::production) == Approx(0.6 / 86400).epsilon(1e-12));
}

TEST_CASE("what is shown reads back as the same quantity in both unit systems", "[sim][scenario][unit]") {
  for (int i = 0; i < kinds; ++i) {
    auto const kind = static_cast<Quantity>(i);
    REQUIRE(quantity_info(kind).kind == kind);
    for (UnitSystem const system : {UnitSystem::si, UnitSystem::us}) {
      for (double const value : {12.3, 285.7, 41000.0}) {
        std::string const shown = format_quantity(value, kind, system, 12);
        CAPTURE(shown);
        CHECK(in_SI(shown, kind) == Approx(value).epsilon(1e-6));
      }
    }
  }
}

TEST_CASE("every kind's example and common units are read as that kind", "[sim][scenario][unit]") {
  for (int i = 0; i < kinds; ++i) {
    auto const kind = static_cast<Quantity>(i);
    in_SI(quantity_info(kind).example, kind);
    REQUIRE_FALSE(common_units(kind).empty());
    for (auto const& unit : common_units(kind)) {
      CAPTURE(unit);
      CHECK(read_unit(unit, kind).conversion.has_value());
    }
  }
}

TEST_CASE("shares are numbers or percentages", "[sim][scenario][unit]") {
  CHECK(in_SI("50 %", Quantity::share) == 0.5);
  CHECK(in_SI("0.5", Quantity::share) == 0.5);
}

TEST_CASE("a text that is no quantity is refused with its reason", "[sim][scenario][hostile]") {
  struct Wrong {
    std::string_view text;
    Quantity kind;
    std::string_view problem;
  };
  for (
      auto const& wrong :
      {Wrong{"7 apples", Quantity::duration,
             R"("7 apples" is not a length of time (unit unknown); write for example "7 d")"},
       Wrong{"7 kg", Quantity::duration, R"("7 kg" is not a length of time (kg is a mass); write for example "7 d")"},
       Wrong{"10 Hz", Quantity::duration, R"("10 Hz" is not a length of time (Hz is a rate); write for example "7 d")"},
       Wrong{"60", Quantity::water_volume, R"("60" is not a volume (the unit is missing); write for example "60 m3")"},
       Wrong{"", Quantity::water_volume, R"("" is not a volume (it is empty); write for example "60 m3")"},
       Wrong{"m3", Quantity::water_volume,
             R"("m3" is not a volume (it does not start with a number); write for example "60 m3")"},
       Wrong{"nan m3", Quantity::water_volume,
             R"("nan m3" is not a volume (it does not start with a number); write for example "60 m3")"},
       Wrong{"1e999 m3", Quantity::water_volume,
             R"("1e999 m3" is not a volume (the number is too large or too small); write for example "60 m3")"},
       Wrong{
           "1,500 gal", Quantity::water_volume,
           R"("1,500 gal" is not a volume (digits are not grouped and the decimal sign is a point); write for example "60 m3")"},
       Wrong{"1500 gals.", Quantity::water_volume,
             R"("1500 gals." is not a volume (unit unknown, did you mean gal?); write for example "60 m3")"},
       Wrong{"3 m3 @ 4", Quantity::water_volume,
             R"("3 m3 @ 4" is not a volume (unit unknown); write for example "60 m3")"},
       Wrong{"3 m999999999", Quantity::water_volume,
             R"("3 m999999999" is not a volume (unit unknown); write for example "60 m3")"},
       Wrong{"80 mg/L as Fe", Quantity::calcium,
             R"("80 mg/L as Fe" is not a calcium hardness (it is not counted as Fe); write for example "250 mg/L")"}}) {
    ReadQuantity const read = read_quantity(wrong.text, wrong.kind);
    CHECK_FALSE(read.value.has_value());
    CHECK(read.problem == wrong.problem);
  }
}

TEST_CASE("units may be read from several threads at once", "[sim][scenario][unit]") {
  std::vector<std::jthread> threads;
  std::vector<double> sums(4, 0.0);
  for (std::size_t t = 0; t < sums.size(); ++t) {
    threads.emplace_back([&sums, t] {
      for (int i = 0; i < 300; ++i) {
        // New unit texts, so that the database itself is asked and not its memory of answers.
        sums[t] += read_quantity("1 m3 " + std::string(static_cast<std::size_t>(i % 20), '.'), Quantity::water_volume)
                       .value.value_or(0.0);
        sums[t] += *read_quantity("1 gal", Quantity::water_volume).value;
      }
    });
  }
  threads.clear();
  for (double const sum : sums) CHECK(sum == sums[0]);
}

TEST_CASE("the nearest word is one that a slip of the fingers explains", "[sim][scenario][unit]") {
  std::vector<std::string> const known{"replicates", "season", "weather", "gal", "L"};
  CHECK(nearest_word("replicats", known) == "replicates");
  CHECK(nearest_word("saeson", known) == "season");
  CHECK(nearest_word("Weather", known) == "weather");
  CHECK(nearest_word("policy", known).empty());
  CHECK(nearest_word("x", known).empty());
}
