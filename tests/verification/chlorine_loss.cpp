#include <algorithm>
#include <cmath>

#include "models/chlorine/demand.hpp"
#include "models/chlorine/sunlight_loss.hpp"
#include "models/sun/irradiance.hpp"
#include "models/sun/position.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {

Speciation<double> chlorine(double ph, double chlorine_mg_per_L, double cyanuric_mg_per_L) {
  auto const k = water_equilibrium<double>({298.15, {0.0, 0.0, 0.0}, 0.0});
  Parameters full = parameters();
  full.cyanurate_constants_year = 1974;
  return chlorine_speciation<double>({.hydrogen_activity = std::pow(10.0, -ph),
                                      .temperature_K = 298.15,
                                      .free_chlorine_mol_per_m3 = chlorine_mg_per_L / 70.906,
                                      .cyanuric_acid_mol_per_m3 = cyanuric_mg_per_L / 129.074},
                                     k, cyanurate_set(full));
}

double half_life_min(Speciation<double> const& forms, Parameters const& p, double depth_mean) {
  return std::log(2.0) / 60.0 /
         sunlight_loss_per_s<double>(
             {.chlorine = forms, .irradiance_at_water_W_per_m2 = 940.0, .depth_mean = depth_mean}, p);
}

}  // namespace

void verify_chlorine_loss(Report& report) {
  constexpr auto nowell = "Nowell & Hoigné 1992";
  for (auto const& [ph, expected] :
       {std::pair{5.0, 56.9}, {7.0, 27.2}, {7.2, 22.4}, {7.5, 17.0}, {7.8, 13.6}, {8.0, 12.2}}) {
    report.compare({"half-life at noon at the surface, min, no stabiliser, pH " + std::to_string(ph).substr(0, 3),
                    half_life_min(chlorine(ph, 3, 0), parameters(), 1.0), expected, std::max(0.1, 0.008 * expected),
                    nowell});
  }
  report.compare({"published half-life at pH 8, min", half_life_min(chlorine(8.0, 3, 0), parameters(), 1.0), 12.0, 0.5,
                  "Nowell & Hoigné 1992, abstract"});
  report.compare({"published half-life at pH 5, min", half_life_min(chlorine(5.0, 3, 0), parameters(), 1.0), 60.0, 4.0,
                  "Nowell & Hoigné 1992, abstract"});
  // Noon at 47 deg N in June, Haurwitz: the irradiance of those rates.
  double const noon = sun_position(8572.0 - 8.0 / 24.0 / 15.0, {.latitude_deg = 47.4, .longitude_deg = 8.0}).cos_zenith;
  report.compare({"irradiance of a clear June noon at 47 deg N, W/m2",
                  parameters().photolysis_reference_irradiance_W_per_m2, clear_sky_irradiance_W_per_m2(noon), 16.0,
                  "Haurwitz 1945"});
  for (auto const& [per_m, expected] : {std::pair{0.1, .9332}, {0.2, .8722}, {0.5, .7192}, {1.0, .5381}}) {
    Parameters clear = parameters();
    clear.ultraviolet_absorption_per_m = per_m;
    report.compare({"mean ultraviolet over 1.4 m, absorption per m " + std::to_string(per_m).substr(0, 3),
                    depth_mean_of_ultraviolet(1.4, clear), expected, 0.0001, "Beer's law"});
  }
  report.compare({"default absorption: mean over 1.4 m", depth_mean_of_ultraviolet(1.4, parameters()), 0.8164, 0.0025,
                  "assumption 0.3 per m, in 0.1-0.5"});
  report.compare({"half-life in 1.4 m of unstabilised water, min, pH 7.5",
                  half_life_min(chlorine(7.5, 3, 0), parameters(), depth_mean_of_ultraviolet(1.4, parameters())), 30.0,
                  10.0, "US EPA slides quoting Zayat 2007: about 30 min"});
  for (auto const& [bound, hours] : {std::pair{0.0, 18.2}, {1e-5, 9.4}, {2e-5, 6.4}, {3e-5, 4.8}}) {
    Parameters p = parameters();
    p.photolysis_bound_per_s = bound;
    report.compare(
        {"half-life, h, chlorine 3 stabiliser 50 pH 7.5, bound rate 1e-5 x " + std::to_string(int(bound * 1e5)),
         half_life_min(chlorine(7.5, 3, 50), p, 1.0) / 60.0, hours, per_cent(1.5, hours),
         "computed independently from Nowell & Hoigné 1992"});
  }
  // 138 mg/L of stabiliser: 1-2 % a day lost to light. A June day gives 6.5 noon hours; depth 1.4 m.
  double const daily =
      sunlight_loss_per_s<double>(
          {.chlorine = chlorine(7.5, 3, 138), .irradiance_at_water_W_per_m2 = 940.0, .depth_mean = 0.8164},
          parameters()) *
      6.5 * 3600.0;
  report.compare({"share lost to light in a day at stabiliser 138", daily, 0.0895, 0.0013,
                  "own figure; a paper's abstract has 0.01-0.02, see models/README.md"});
  report.compare({"share of that carried by bound chlorine",
                  parameters().photolysis_bound_per_s * 0.8164 * 6.5 * 3600.0, 0.0191, 0.0003,
                  "kept within the abstract's 1-2 % a day"});

  // Desert pools: about 14 % a day near 30 degC, doubling every 5 K (Q10 4).
  double const at_30 = dark_demand_per_s(303.15, 1.0, parameters());
  report.compare({"share lost in the dark in a day at 30 degC", 1.0 - std::exp(-at_30 * 86400.0), 0.14, 0.006,
                  "abstract: 14 % a day, hot desert"});
  report.compare({"ratio of dark loss 30 to 25 degC", at_30 / dark_demand_per_s(298.15, 1.0, parameters()), 2.0, 0.06,
                  "abstract: doubles every 5 degrees"});
  report.compare({"ratio of dark loss 30 to 20 degC", at_30 / dark_demand_per_s(293.15, 1.0, parameters()), 3.86, 0.06,
                  "E/R 12000 K"});
  report.compare({"night loss of 3 mg/L at 27 degC in 12 h, mg/L, within the 0-1 of practice",
                  3.0 * (1.0 - std::exp(-dark_demand_per_s(300.15, 1.0, parameters()) * 43200.0)), 0.1439, 0.002,
                  "common practice, no source: 0-1"});
  // 100 g of leaves and dust in 50 m3 take about 0.9 % of the free chlorine a day.
  report.compare({"share lost in a day to 0.1 kg of debris in 50 m3",
                  debris_demand_per_s(0.1 / 50.0, parameters()) * 86400.0, 0.00864, 1e-4, "assumption"});
}

}  // namespace brinecast::verification
