#include <algorithm>
#include <cmath>

#include "models/chlorine/speciation.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {

constexpr auto obrien = "O'Brien, Morris & Butler 1974, solved independently";
constexpr auto wahman = "Wahman & Alexander 2019, solved independently";

struct Water {
  double ph, chlorine_mg_per_L, cyanuric_mg_per_L, t_C = 25.0;
};
/// mg/L as Cl2, at zero ionic strength like the published figures.
struct Forms {
  double hypochlorous, hypochlorite, mono, di;
};

Forms forms(Water const& in, double year) {
  Parameters chosen = parameters();
  // The mutated default scales the year; the comparison must name its set.
  chosen.cyanurate_constants_year = year;
  CyanurateSet const set = cyanurate_set(chosen);
  double const temperature = in.t_C + celsius_zero_K;
  auto const k = water_equilibrium<double>({temperature, {0.0, 0.0, 0.0}, 0.0});
  double const h = std::pow(10.0, -in.ph);
  Speciation<double> const got =
      chlorine_speciation<double>({.hydrogen_activity = h,
                                   .temperature_K = temperature,
                                   .free_chlorine_mol_per_m3 = in.chlorine_mg_per_L / 70.906,
                                   .cyanuric_acid_mol_per_m3 = in.cyanuric_mg_per_L / 129.074},
                                  k, set, converged_newton_steps);
  // Bound chlorine counts carriers with one, two and three chlorines once, twice and three times.
  ChlorinationPolynomial<double> const p = chlorination(h, temperature, k, set);
  double const x = got.hypochlorous_mol_per_m3;
  double const all = p.none + x * (p.one + x * (p.two + x * p.three));
  double const cyanuric = in.cyanuric_mg_per_L / 129.074;
  return {x * 70.906, got.hypochlorite_mol_per_m3 * 70.906, cyanuric * p.one * x / all * 70.906,
          cyanuric * 2.0 * p.two * x * x / all * 70.906};
}

}  // namespace

void verify_chlorine_forms(Report& report) {
  struct Row {
    Water in;
    Forms full, simple;
  };
  for (Row const& row : {Row{{7.5, 1, 0}, {.5230, .4770, 0, 0}, {.5211, .4789, 0, 0}},
                         Row{{7.5, 1, 30}, {.01299, .01184, .9638, .01132}, {.00851, .00782, .9732, .01048}},
                         Row{{7.5, 2, 30}, {.02729, .02489, 1.901, .04693}, {.01792, .01647, 1.922, .0436}},
                         Row{{7.5, 3, 50}, {.0246, .02243, 2.889, .06427}, {.01608, .01478, 2.910, .05922}},
                         Row{{7.2, 3, 50}, {.0291, .0133, 2.882, .07548}, {.01963, .00904, 2.899, .07202}},
                         Row{{7.8, 3, 50}, {.02217, .04034, 2.880, .0578}, {.01425, .02613, 2.907, .05243}},
                         Row{{7.5, 3, 80}, {.01495, .01363, 2.932, .03964}, {.00974, .00895, 2.945, .0363}}}) {
    std::string const where = ", mg/L, pH " + std::to_string(row.in.ph).substr(0, 3) + " chlorine " +
                              std::to_string(int(row.in.chlorine_mg_per_L)) + " stabiliser " +
                              std::to_string(int(row.in.cyanuric_mg_per_L));
    Forms const full = forms(row.in, 1974);
    // Both sets take Morris' hypochlorous acid, 7.537; the 1974 paper's is 7.54, 0.8 % in hypochlorite.
    report.compare({"HOCl, full set" + where, full.hypochlorous, row.full.hypochlorous,
                    per_cent(0.5, row.full.hypochlorous), obrien});
    report.compare({"OCl-, full set" + where, full.hypochlorite, row.full.hypochlorite,
                    per_cent(1.0, row.full.hypochlorite), obrien});
    report.compare({"one chlorine bound, full set" + where, full.mono, row.full.mono,
                    per_cent(0.5, row.full.mono) + 1e-9, obrien});
    report.compare(
        {"two chlorines bound, full set" + where, full.di, row.full.di, per_cent(0.7, row.full.di) + 1e-9, obrien});
    Forms const simple = forms(row.in, 2019);
    report.compare({"HOCl, simple set" + where, simple.hypochlorous, row.simple.hypochlorous,
                    per_cent(0.5, row.simple.hypochlorous), wahman});
    report.compare({"OCl-, simple set" + where, simple.hypochlorite, row.simple.hypochlorite,
                    per_cent(0.5, row.simple.hypochlorite), wahman});
    report.compare({"one chlorine bound, simple set" + where, simple.mono, row.simple.mono,
                    per_cent(0.5, row.simple.mono) + 1e-9, wahman});
    report.compare({"two chlorines bound, simple set" + where, simple.di, row.simple.di,
                    per_cent(0.7, row.simple.di) + 1e-9, wahman});
  }
  // The rarer forms of the full set, where they count: 10^(pH - pK) relative to the form beside them.
  {
    Parameters full_set = parameters();
    full_set.cyanurate_constants_year = 1974;
    CyanurateSet const set = cyanurate_set(full_set);
    auto const k = water_equilibrium<double>({298.15, {0.0, 0.0, 0.0}, 0.0});
    auto const at = [&](double ph) { return chlorination(std::pow(10.0, -ph), 298.15, k, set); };
    constexpr auto by_hand = "O'Brien, Morris & Butler 1974, evaluated by hand";
    report.compare({"bare cyanurates relative to H2Cy- at pH 11", at(11.0).none, 1.3994, 0.002, by_hand});
    report.compare({"the same at pH 13: 1 + 39.81 + 12.59", at(13.0).none, 53.40, 0.3, by_hand});
    report.compare({"HClCy- with its base relative to itself at pH 9", at(9.0).one / std::pow(10.0, 2.62), 1.0761,
                    0.001, by_hand});
    report.compare(
        {"HClCy- with its acid relative to itself at pH 5", at(5.0).one / std::pow(10.0, 2.62), 3.138, 0.01, by_hand});
    report.compare({"Cl2Cy- with its acid relative to itself at pH 4", at(4.0).two / std::pow(10.0, 2.62 + 1.51),
                    1.5623, 0.005, by_hand});
    report.compare({"Cl3Cy relative to Cl2Cy- and HOCl at pH 4", at(4.0).three / std::pow(10.0, 2.62 + 1.51), 0.03548,
                    0.0003, by_hand});
  }
  // Without stabiliser: pH is all that matters.
  for (auto const& [ph, share] : {std::pair{7.0, .7748}, {7.2, .6846}, {7.5, .5211}, {7.8, .3529}, {8.0, .2560}}) {
    report.compare({"share of HOCl without stabiliser or salt, pH " + std::to_string(ph).substr(0, 3),
                    forms({ph, 1, 0}, 1974).hypochlorous, share, 0.0005, "Morris 1966"});
  }
  auto const salty = [](double ph, double ionic_strength) {
    auto const k = water_equilibrium<double>({298.15, {ionic_strength * 1000.0, 0.0, 0.0}, 0.0});
    return chlorine_speciation<double>({.hydrogen_activity = std::pow(10.0, -ph),
                                        .temperature_K = 298.15,
                                        .free_chlorine_mol_per_m3 = 1.0,
                                        .cyanuric_acid_mol_per_m3 = 0.0},
                                       k, cyanurate_set(parameters()))
        .hypochlorous_mol_per_m3;
  };
  for (auto const& [ph, share] : {std::pair{7.0, .7347}, {7.2, .6360}, {7.5, .4669}, {7.8, .3050}, {8.0, .2169}}) {
    report.compare({"share of HOCl at ionic strength 0.066, pH " + std::to_string(ph).substr(0, 3), salty(ph, 0.066),
                    share, 0.001, "Morris 1966 with Davies 1962"});
  }
  report.compare(
      {"share of HOCl at 15 degC, pH 7.5", forms({7.5, 1, 0, 15}, 1974).hypochlorous, .5759, 0.0006, "Morris 1966"});
  report.compare(
      {"share of HOCl at 32 degC, pH 7.5", forms({7.5, 1, 0, 32}, 1974).hypochlorous, .4902, 0.0006, "Morris 1966"});
  // pK7a of Wahman & Alexander 2019 moves by 0.236 from 25 to 15 degC.
  auto const tightness = [](double t_C) {
    Parameters chosen = parameters();
    chosen.cyanurate_constants_year = 2019;
    auto const k = water_equilibrium<double>({t_C + celsius_zero_K, {0.0, 0.0, 0.0}, 0.0});
    auto const p = chlorination(3e-8, t_C + celsius_zero_K, k, cyanurate_set(chosen));
    return std::log10(p.two / p.one);
  };
  report.compare({"pK7a at 15 degC less pK7a at 25 degC", tightness(15.0) - tightness(25.0), 4.888 - 4.652, 0.0015,
                  "Wahman & Alexander 2019, abstract"});
  report.compare({"pK7a at 25 degC", tightness(25.0) + 3.0, 4.652, 0.001, "Wahman & Alexander 2019, abstract"});
  // The first chlorine's temperature dependence is an assumption between none and that of the second: x2.3 at 10 degC.
  auto const first_chlorine = [](double share) {
    Parameters chosen = parameters();
    chosen.mono_cyanurate_temperature_share = share;
    auto const k = water_equilibrium<double>({283.15, {0.0, 0.0, 0.0}, 0.0});
    return chlorination(3e-8, 283.15, k, cyanurate_set(chosen)).one;
  };
  report.compare({"binding of the first chlorine at 10 degC with over without its full shift",
                  first_chlorine(1.0) / first_chlorine(0.0), 2.293, 0.01, "2028 K x (1/283.15 - 1/298.15)"});
  report.compare(
      {"the default assumes no shift", parameters().mono_cyanurate_temperature_share, 0.0, 0.0, "assumption"});
  report.compare(
      {"the default set is the full one of 1974", parameters().cyanurate_constants_year, 1974.0, 0.0, "choice"});
  // HOCl is nearly constant at a constant ratio of stabiliser to chlorine (Falk et al. 2019: +-1.8 %).
  report.compare({"HOCl at stabiliser:chlorine 60:3 over 100:5",
                  forms({7.5, 3, 60}, 1974).hypochlorous / forms({7.5, 5, 100}, 1974).hypochlorous, 1.0, 0.018,
                  "Falk et al. 2019, abstract"});

  Table const table("tables/cya_speciation.csv", report);
  double worst_full = 0.0;
  double worst_simple = 0.0;
  double worst_bound = 0.0;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    bool const full = table.text(row, "model") == "obrien1974_25C";
    if (!full && table.text(row, "model") != "simple2019_25C") {
      continue;
    }
    Forms const got = forms({table.value(row, "pH"), table.value(row, "measured_fc_mgL_Cl2"),
                             table.value(row, "cya_mgL"), table.value(row, "temp_C")},
                            full ? 1974 : 2019);
    double& worst = full ? worst_full : worst_simple;
    worst = std::max(worst, std::fabs(got.hypochlorous / table.value(row, "HOCl_mgL_Cl2") - 1.0));
    if (table.value(row, "cya_mgL") > 0.0) {
      worst_bound = std::max(worst_bound, std::fabs(got.mono / table.value(row, "mono_chlorinated_mgL_Cl2") - 1.0));
    }
  }
  if (table.rows() > 0) {
    report.compare({"HOCl over the grid, full set, worst relative error", worst_full, 0.0, 0.008, obrien});
    report.compare({"HOCl over the grid, simple set, worst relative error", worst_simple, 0.0, 0.008, wahman});
    report.compare({"chlorine bound once over the grid, worst relative error", worst_bound, 0.0, 0.008, obrien});
  }
  // Residual of both balances for shocked and empty water.
  for (Water const& extreme :
       {Water{7.2, 20, 30}, Water{7.5, 20, 10}, Water{7.5, 40, 30}, Water{7.8, 0.001, 200}, Water{6.8, 60, 20}}) {
    Forms const got = forms(extreme, 1974);
    auto const k = water_equilibrium<double>({298.15, {0.0, 0.0, 0.0}, 0.0});
    auto const p = chlorination(std::pow(10.0, -extreme.ph), 298.15, k, cyanurate_set(parameters()));
    double const x = got.hypochlorous / 70.906;
    double const all = p.none + x * (p.one + x * (p.two + x * p.three));
    double const tri = extreme.cyanuric_mg_per_L / 129.074 * 3.0 * p.three * x * x * x / all * 70.906;
    report.compare({"all forms add up, mg/L, chlorine " + std::to_string(int(extreme.chlorine_mg_per_L)) +
                        " stabiliser " + std::to_string(int(extreme.cyanuric_mg_per_L)),
                    got.hypochlorous + got.hypochlorite + got.mono + got.di + tri, extreme.chlorine_mg_per_L,
                    1e-5 * extreme.chlorine_mg_per_L, "conservation of chlorine"});
  }
}

}  // namespace brinecast::verification
