#include <cmath>

#include "models/chlorine/combined.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

void verify_combined_chlorine(Report& report) {
  constexpr auto breakpoint = "breakpoint stoichiometry 3 HOCl + 2 NH3";
  double const nitrogen_mol = 1.0;
  // Plenty of chlorine and time: everything goes to nitrogen gas.
  auto const through = [&](double ammonia, double urea) {
    double free_chlorine = 100.0;
    CombinedOutcome<double> state{0.0, 0.0, ammonia, urea, 0.0};
    for (int hour = 0; hour < 2000; ++hour) {
      state = step_combined_chlorine<double>({.free_chlorine_mol = free_chlorine,
                                              .combined_chlorine_mol = state.combined_chlorine_mol,
                                              .ammonia_nitrogen_mol = state.ammonia_nitrogen_mol,
                                              .urea_nitrogen_mol = state.urea_nitrogen_mol,
                                              .hypochlorous_mol_per_m3 = 0.05,
                                              .step_s = 3600.0},
                                             parameters());
      free_chlorine -= state.free_chlorine_used_mol;
    }
    return 100.0 - free_chlorine;
  };
  report.compare(
      {"g Cl2 per g ammonia nitrogen", through(nitrogen_mol, 0.0) * 70.906 / 14.007, 7.593, 0.002, breakpoint});
  report.compare({"g Cl2 per g urea", through(0.0, 2.0) * 70.906 / 60.056, 3.542, 0.01, "CO(NH2)2 + 3 HOCl"});
  report.compare({"from urea nitrogen, one mol", through(0.0, 1.0), 1.5, 0.002, breakpoint});
  CombinedOutcome<double> const first = step_combined_chlorine<double>({.free_chlorine_mol = 10.0,
                                                                        .combined_chlorine_mol = 0.0,
                                                                        .ammonia_nitrogen_mol = 1.0,
                                                                        .urea_nitrogen_mol = 0.0,
                                                                        .hypochlorous_mol_per_m3 = 0.0,
                                                                        .step_s = 3600.0},
                                                                       parameters());
  report.compare({"monochloramine stage, g Cl2 per g N", first.combined_chlorine_mol * 70.906 / 14.007, 5.062, 0.001,
                  "stoichiometry"});
  report.compare({"ammonia is gone at once", first.ammonia_nitrogen_mol, 0.0, 0.0, "fast, MAHC annex"});
  // Rates: combined chlorine at HOCl 0.0246 mg/L (3.47e-4 mol/m3) halves in ln2 / (0.278 x 3.47e-4) = 2.0 h.
  double const exposure = 0.0246 / 70.906;
  CombinedOutcome<double> const hour = step_combined_chlorine<double>({.free_chlorine_mol = 10.0,
                                                                       .combined_chlorine_mol = 1.0,
                                                                       .ammonia_nitrogen_mol = 0.0,
                                                                       .urea_nitrogen_mol = 1.0,
                                                                       .hypochlorous_mol_per_m3 = exposure,
                                                                       .step_s = 3600.0},
                                                                      parameters());
  report.compare({"half-life of combined chlorine at free chlorine 3, stabiliser 50, h",
                  -std::log(2.0) / std::log(hour.combined_chlorine_mol), 2.0, 0.03,
                  "Jafvert & Valentine 1992, 1.0e6 /(M h), from memory"});
  report.compare({"half-life of urea there, d", -std::log(2.0) / std::log(hour.urea_nitrogen_mol) / 24.0, 17.8, 0.2,
                  "De Laat et al. 2009, from memory; slow: MAHC annex"});
  CombinedOutcome<double> const poor = step_combined_chlorine<double>({.free_chlorine_mol = 0.3,
                                                                       .combined_chlorine_mol = 0.0,
                                                                       .ammonia_nitrogen_mol = 1.0,
                                                                       .urea_nitrogen_mol = 1.0,
                                                                       .hypochlorous_mol_per_m3 = 1.0,
                                                                       .step_s = 3600.0},
                                                                      parameters());
  report.compare({"no more chlorine is used than there is", poor.free_chlorine_used_mol, 0.3, 1e-15, "conservation"});
  report.compare({"what was used stands as combined chlorine", poor.combined_chlorine_mol, 0.3, 1e-15, "conservation"});
  CombinedOutcome<double> const none = step_combined_chlorine<double>({.free_chlorine_mol = 0.0,
                                                                       .combined_chlorine_mol = 1.0,
                                                                       .ammonia_nitrogen_mol = 1.0,
                                                                       .urea_nitrogen_mol = 1.0,
                                                                       .hypochlorous_mol_per_m3 = 0.0,
                                                                       .step_s = 3600.0},
                                                                      parameters());
  report.compare({"without chlorine nothing moves", none.free_chlorine_used_mol + none.combined_chlorine_mol, 1.0, 0.0,
                  "conservation"});

  BatherLoad<double> const load = bather_load(4.0, parameters());
  constexpr auto who = "WHO 2006 vol. 2 table, from memory: 30 mL urine, 0.2 L sweat";
  report.compare({"nitrogen of four bathers, g", (load.ammonia_nitrogen_mol + load.urea_nitrogen_mol) * 14.007,
                  4.0 * 0.565, 0.01, who});
  // Ammonia and amino acids 0.036 + 0.009 + 0.0168 + 0.0084 g in sweat and urine.
  report.compare({"fast nitrogen of a bather, g", load.ammonia_nitrogen_mol * 14.007 / 4.0, 0.0702, 0.0008, who});
  double const all = load.chlorine_demand_mol + 1.5 * (load.ammonia_nitrogen_mol + load.urea_nitrogen_mol);
  report.compare(
      {"chlorine that four bathers use up, g", all * 70.906, 22.0, 0.05, "Bradford 2014, abstract: 5.5 g each"});
  report.compare({"that is, mg/L in 50 m3", all * 70.906 / 50.0, 0.44, 0.002, "Bradford 2014, abstract"});
  report.compare({"alkalinity that goes with 1 mg/L free chlorine, mg/L as CaCO3",
                  alkalinity_per_chlorine / 70.906 * 50.0435, 0.706, 0.001, "stoichiometry"});
}

}  // namespace brinecast::verification
