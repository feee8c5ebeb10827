// The same equations, written once more as rates and integrated by Boost.Odeint.

#include <array>
#include <boost/numeric/odeint.hpp>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>

#include "tests/models/one_pool.hpp"

namespace brinecast::tests {

using namespace models;

namespace {

enum Variable : std::size_t {
  volume,
  heat,
  salt,
  calcium,
  alkalinity,
  carbon,
  cyanuric,
  borate,
  free_chlorine,
  combined,
  urea,
  algae,
  scale,
  coating,
  variables
};
using State = std::array<double, variables>;

struct Rates {
  sim::PoolBlock const& block;
  sim::KernelSettings const& settings;
  sim::HourForcing const& weather;

  /// pH and forms of chlorine, solved together to convergence.
  struct Chemistry {
    WaterEquilibrium<double> k;
    AcidBase<double> acid_base;
    AcidBaseTotals<double> totals;
    Speciation<double> chlorine;
  };
  [[nodiscard]] Chemistry chemistry(State const& y, double temperature_K) const {
    Chemistry out{};
    double const v = y[volume];
    out.k = water_equilibrium<double>(
        {.temperature_K = temperature_K,
         .medium = {.chloride_mol_per_m3 = y[salt] / v / molar_mass_NaCl_kg_per_mol + 2.0 * y[calcium] / v,
                    .calcium_mol_per_m3 = y[calcium] / v,
                    .alkalinity_mol_per_m3 = y[alkalinity] / v},
         .free_calcium_mol_per_m3 = y[calcium] / v});
    double ph = 7.8;
    for (int round = 0; round < 6; ++round) {
      out.chlorine = chlorine_speciation<double>({.hydrogen_activity = std::pow(10.0, -ph),
                                                  .temperature_K = temperature_K,
                                                  .free_chlorine_mol_per_m3 = y[free_chlorine] / v,
                                                  .cyanuric_acid_mol_per_m3 = y[cyanuric] / v},
                                                 out.k, settings.cyanurates, converged_newton_steps);
      out.totals = {.alkalinity = y[alkalinity] / v,
                    .inorganic_carbon = y[carbon] / v,
                    .cyanuric_acid = y[cyanuric] / v - out.chlorine.bound_cyanurate_mol_per_m3,
                    .chlorinated_cyanurate = out.chlorine.bound_cyanurate_mol_per_m3,
                    .borate = y[borate] / v,
                    .free_hypochlorous = out.chlorine.hypochlorous_mol_per_m3 + out.chlorine.hypochlorite_mol_per_m3};
      out.acid_base = solve_ph(out.totals, out.k);
      ph = out.acid_base.ph;
    }
    return out;
  }

  void operator()(State const& y, State& rate, double) const {
    Parameters const& p = settings.parameters;
    sim::PoolTraits const& traits = block.traits;
    double const area = traits.surface_area_m2[0];
    double const v = y[volume];
    double const temperature = celsius_zero_K + y[heat] / (v * sim::heat_capacity_J_per_m3_K);
    double const pumping =
        sim::share_in_window(weather.hour_of_day, block.controls.pump_start_h[0], block.controls.pump_hours[0]);
    double const bathing = sim::share_in_window(weather.hour_of_day, p.bathing_from_h, p.bathing_h);
    double const bathers = block.day.bathers[0] * bathing / p.bathing_h;  // in the water, each for an hour
    double const bathers_per_s = bathers / 3600.0;

    double const wind = weather.wind_speed_m_per_s * traits.wind_exposure[0];
    auto const transfer = [&](double crowd) { return evaporation_transfer_W_per_m2_Pa<double>({wind, crowd, 1.0}, p); };
    SurfaceHeat<double> const surface = surface_heat<double>(
        {.water_temperature_K = temperature,
         .air_temperature_K = weather.air_temperature_K,
         .air_pressure_Pa = weather.air_pressure_Pa,
         .vapour_pressure_of_air_Pa = weather.vapour_pressure_of_air_Pa,
         .sky_long_wave_W_per_m2 = weather.sky_long_wave_W_per_m2,
         .absorbed_sunlight_W_per_m2 = absorbed_sunlight_W_per_m2(
             weather.sunlight_into_water_W_per_m2 * traits.sun_exposure[0], traits.solar_absorptance[0]),
         .open_transfer_W_per_m2_Pa = transfer(0.0),
         .wet_transfer_W_per_m2_Pa = transfer(bathers / area)},
        p);
    double const evaporated = area * evaporation_depth_m_per_s(surface.evaporation_W_per_m2,
                                                               latent_heat_of_vaporisation_J_per_kg(temperature));
    double const rain = weather.rain_m * traits.catchment_area_m2[0] / 3600.0;
    double const lost =
        leak_m3_per_s<double>({traits.leak_m3_per_s[0], v, traits.normal_volume_m3[0]}) + splash_m3(bathers_per_s, p);
    rate.fill(0.0);
    rate[volume] = rain - evaporated - lost;
    rate[heat] = area * surface.total_W_per_m2 +
                 sim::heat_capacity_J_per_m3_K * (rain * (weather.rain_temperature_K - celsius_zero_K) -
                                                  (evaporated + lost) * (temperature - celsius_zero_K));
    for (std::size_t const dissolved :
         {salt, calcium, alkalinity, carbon, cyanuric, borate, free_chlorine, combined, urea}) {
      rate[dissolved] = -y[dissolved] * lost / v;
    }

    Chemistry const c = chemistry(y, temperature);
    double const velocity =
        gas_transfer_velocity_m_per_s(temperature, weather.wind_for_gas_transfer * traits.wind_exposure_for_gas[0]) *
        traits.gas_exchange_factor[0];
    rate[carbon] -=
        velocity * area *
        (c.acid_base.carbon_dioxide_mol_per_m3 - c.k.carbon_dioxide_mol_per_m3_Pa * p.air_carbon_dioxide_Pa);

    double const on = pumping * block.controls.output_setting[0];
    double const covered = scale_coverage(y[scale], p);
    double const current = relative_current<double>(
        {.salt_kg_per_m3 = y[salt] / v, .water_temperature_K = temperature, .share_warm = 1.0}, p);
    double const made = traits.cell_rated_kg_per_s[0] / molar_mass_Cl2_kg_per_mol * on *
                        relative_output<double>({.relative_current = current,
                                                 .salt_kg_per_m3 = y[salt] / v,
                                                 .share_covered = covered,
                                                 .coating_left = y[coating]},
                                                p);
    double const loss =
        dark_demand_per_s(temperature, traits.demand_factor[0], p) + algae_demand_per_s(y[algae], p) +
        sunlight_loss_per_s<double>(
            {c.chlorine, weather.global_irradiance_W_per_m2 * traits.sun_exposure[0], traits.ultraviolet_depth_mean[0]},
            p);
    BatherLoad<double> const load = bather_load(bathers_per_s, p);
    double const hypochlorous = c.chlorine.hypochlorous_mol_per_m3;
    double const destroyed = p.breakpoint_rate_m3_per_mol_s * hypochlorous * y[combined];
    double const urea_gone = p.urea_rate_m3_per_mol_s * hypochlorous * y[urea];
    rate[free_chlorine] += made - loss * y[free_chlorine] - load.ammonia_nitrogen_mol - load.chlorine_demand_mol -
                           0.5 * destroyed - 1.5 * urea_gone;
    rate[combined] += load.ammonia_nitrogen_mol - destroyed;
    rate[urea] += load.urea_nitrogen_mol - urea_gone;
    double const to_chloride = loss * y[free_chlorine] + load.chlorine_demand_mol + 1.5 * destroyed + 1.5 * urea_gone;
    rate[alkalinity] += made - to_chloride;
    rate[carbon] -= carbon_dioxide_stripped_mol_per_s<double>(
        {made, c.acid_base.carbon_dioxide_mol_per_m3, c.k.carbon_dioxide_mol_per_m3_Pa}, p);
    rate[algae] =
        y[algae] * (p.algae_growth_at_25_C_per_s * arrhenius_factor(temperature, p.algae_growth_activation_K) -
                    p.algae_kill_m3_per_mol_s * hypochlorous);

    double const index = saturation_index<double>(
        {c.acid_base.ph, c.acid_base.hydrogen_activity, c.acid_base.carbonate_alkalinity_mol_per_m3, y[calcium] / v},
        c.k);
    double const growth = scale_change_kg_per_m2<double>(
        {.film = {c.acid_base.carbonate_alkalinity_mol_per_m3, y[carbon] / v, y[calcium] / v},
         .temperature_K = temperature,
         .bulk = {c.acid_base.hydrogen_activity, c.acid_base.carbon_dioxide_mol_per_m3, index},
         .scale_kg_per_m2 = y[scale],
         .share_on = on,
         .share_flowing = pumping,
         .reversals_per_s = traits.reversals_per_s[0],
         .step_s = 1.0},
        c.k, p);
    rate[scale] = growth;
    double const calcite = growth * traits.cell_plate_area_m2[0] / molar_mass_CaCO3_kg_per_mol;
    rate[calcium] -= calcite;
    rate[alkalinity] -= 2.0 * calcite;
    rate[carbon] -= calcite;
    rate[coating] = -coating_wear<double>({.share_on = on * current,
                                           .coating_life_h = traits.coating_life_h[0],
                                           .reversals_per_s = traits.reversals_per_s[0],
                                           .salt_kg_per_m3 = y[salt] / v,
                                           .water_temperature_K = temperature,
                                           .share_covered = covered,
                                           .step_s = 1.0},
                                          p);
  }
};

State start_of(sim::PoolState const& s) {
  return {s.water_volume_m3[0],   s.heat_J[0],
          s.salt_kg[0],           s.calcium_mol[0],
          s.alkalinity_mol[0],    s.inorganic_carbon_mol[0],
          s.cyanuric_acid_mol[0], s.borate_mol[0],
          s.free_chlorine_mol[0], s.combined_chlorine_mol[0],
          s.urea_nitrogen_mol[0], s.algae[0],
          s.scale_kg_per_m2[0],   s.coating_left[0]};
}

constexpr char const* names[] = {"volume", "heat",          "salt",   "calcium",       "alkalinity",
                                 "carbon", "cyanuric acid", "borate", "free chlorine", "combined chlorine",
                                 "urea",   "algae",         "scale",  "coating"};

}  // namespace

TEST_CASE("the hourly step follows an independent integrator of the same equations", "[models][kernel][convergence]") {
  Climate const climate{.rain_m_per_h = 0.001, .rain_from_h = 16, .rain_hours = 2};
  Parameters instant;
  instant.cell_warm_up_h = 1e-6;
  constexpr int hours = 3 * 24;
  OnePool hourly = one_pool(busy_pool(), 3600.0, instant);
  OnePool fine = one_pool(busy_pool(), 3600.0 / 16.0, instant);
  State y = start_of(hourly.state());
  State const start = y;
  run_hours(hourly, climate, hours);
  run_hours(fine, climate, hours);
  namespace odeint = boost::numeric::odeint;
  for (int hour = 0; hour < hours; ++hour) {
    sim::HourForcing const weather = forcing(climate, hour);
    odeint::integrate_adaptive(odeint::make_controlled(1e-9, 1e-9, odeint::runge_kutta_dopri5<State>()),
                               Rates{hourly.block(), hourly.settings, weather}, y, 0.0, 3600.0, 600.0);
  }
  State const by_hour = start_of(hourly.state());
  State const by_minutes = start_of(fine.state());
  std::printf("%-18s %14s %12s %12s\n", "after 3 days", "integrator", "1 h step", "1/16 h step");
  for (std::size_t i = 0; i < variables; ++i) {
    double const size = std::fabs(y[i]) + std::fabs(start[i]);
    double const error_hour = std::fabs(by_hour[i] - y[i]) / size;
    double const error_minutes = std::fabs(by_minutes[i] - y[i]) / size;
    std::printf("%-18s %14.8g %12.2e %12.2e\n", names[i], y[i], error_hour, error_minutes);
    INFO(names[i]);
    CHECK(error_hour < 2e-3);
    CHECK(error_minutes < 1.5e-4);
  }
}

}  // namespace brinecast::tests
