#pragma once
// One hour of some pools: the only place where the effects of models/ meet. Written once over the lane type.
// Order inside the hour: water and heat, then acid and base, then air, then chlorine, then the cell. Each effect starts
// from what the ones before it left and is exact or second order by itself; tests hold the split against small steps.

#include "models/carbonate/gas_exchange.hpp"
#include "models/carbonate/ph.hpp"
#include "models/carbonate/saturation.hpp"
#include "models/cell/coating.hpp"
#include "models/cell/hydrogen.hpp"
#include "models/cell/production.hpp"
#include "models/cell/scale.hpp"
#include "models/cell/voltage.hpp"
#include "models/cell/warnings.hpp"
#include "models/chlorine/algae.hpp"
#include "models/chlorine/combined.hpp"
#include "models/chlorine/demand.hpp"
#include "models/chlorine/speciation.hpp"
#include "models/chlorine/sunlight_loss.hpp"
#include "models/freezing/freezing.hpp"
#include "models/heat/ice.hpp"
#include "models/heat/sunlight.hpp"
#include "models/heat/surface.hpp"
#include "models/water/conductivity.hpp"
#include "models/water/latent_heat.hpp"
#include "models/water_balance/evaporation.hpp"
#include "models/water_balance/leak.hpp"
#include "models/water_balance/rain.hpp"
#include "models/water_balance/splash.hpp"
#include "sim/fleet/forcing.hpp"
#include "sim/fleet/kernel_settings.hpp"
#include "sim/fleet/pool_block.hpp"

// Clang would have && between comparisons of doubles; vectors know & only.
#ifdef __clang__
#pragma clang diagnostic push
#pragma clang diagnostic ignored "-Wbitwise-instead-of-logical"
#endif

namespace brinecast::sim {

inline constexpr double heat_capacity_J_per_m3_K =
    models::reference_water_density_kg_per_m3 * models::water_heat_capacity_J_per_kg_K;

/// Reads and writes one lane group of an array: pools `lane` to `lane + width`.
template <class Lanes>
struct LaneAccess {
  static Lanes get(LaneArray const& array, std::size_t lane) { return Lanes::load(array.data() + lane); }
  static void set(LaneArray& array, std::size_t lane, Lanes value) { value.store(array.data() + lane); }
  static constexpr std::size_t width() { return Lanes::width(); }
};
template <>
struct LaneAccess<double> {
  static double get(LaneArray const& array, std::size_t lane) { return array[lane]; }
  static void set(LaneArray& array, std::size_t lane, double value) { array[lane] = value; }
  static constexpr std::size_t width() { return 1; }
};

/// Share of the hour from `hour_of_day` that lies in a daily window, which may run past midnight.
template <class Lanes>
Lanes share_in_window(double hour_of_day, Lanes from_h, Lanes length_h) {
  using models::max;
  using models::min;
  auto const overlap = [&](double hour) {
    return max(min(from_h + length_h, Lanes(hour + 1.0)) - max(from_h, Lanes(hour)), Lanes(0.0));
  };
  return min(overlap(hour_of_day) + overlap(hour_of_day + 24.0), Lanes(1.0));
}

/// The parts of an hour, in their order.
enum class Phenomenon {
  start,
  heat_and_evaporation,
  water,
  equilibrium_constants,
  forms_of_chlorine,
  ph_and_saturation,
  gas_exchange,
  chlorine_budget,
  scale_and_coating,
  warnings,
  counting
};

/// Told whenever a phenomenon is done; this one does not listen. Benchmarks bring one that does.
struct NoWatch {
  void operator()(Phenomenon) const {}
};

/// The hour of one lane group. Members are what the effects share; each method is one of them.
template <class Lanes, class Watch = NoWatch>
class PoolHour {
  using Access = LaneAccess<Lanes>;

 public:
  PoolHour(PoolBlock& block, std::size_t lane, HourForcing const& weather, KernelSettings const& settings,
           Watch watch = {})
      : state_(block.state),
        traits_(block.traits),
        controls_(block.controls),
        day_(block.day),
        hours_(block.hours),
        books_(block.books),
        lane_(lane),
        weather_(weather),
        settings_(settings),
        p_(settings.parameters),
        watch_(watch) {}

  void run() {
    start();
    watch_(Phenomenon::start);
    exchange_heat_and_evaporate();
    watch_(Phenomenon::heat_and_evaporation);
    move_water();
    watch_(Phenomenon::water);
    settle_acid_and_base();
    watch_(Phenomenon::ph_and_saturation);
    exchange_gas();
    watch_(Phenomenon::gas_exchange);
    produce_and_consume_chlorine();
    watch_(Phenomenon::chlorine_budget);
    grow_scale_and_wear_coating();
    watch_(Phenomenon::scale_and_coating);
    light_warnings();
    watch_(Phenomenon::warnings);
    count();
    watch_(Phenomenon::counting);
  }

 private:
  [[nodiscard]] Lanes get(LaneArray const& array) const { return Access::get(array, lane_); }
  void set(LaneArray& array, Lanes value) { Access::set(array, lane_, value); }
  void add(LaneArray& array, Lanes value) { set(array, get(array) + value); }

  void start() {
    using namespace models;
    volume_m3_ = get(state_.water_volume_m3);
    heat_J_ = get(state_.heat_J);
    area_m2_ = get(traits_.surface_area_m2);
    open_ = get(controls_.open);
    uncovered_ = share_in_window(weather_.hour_of_day, get(traits_.uncovered_from_h), get(traits_.uncovered_h));
    double const bathing = share_in_window(weather_.hour_of_day, p_.bathing_from_h, p_.bathing_h);
    bathers_ = get(day_.bathers) * (bathing / p_.bathing_h);
    stays_ = bathers_ * open_ * (settings_.step_s / seconds_per_hour);  // an hour each
    // The pump keeps its hours, runs against frost, and loses its prime when the level leaves the skimmer.
    Lanes const scheduled =
        share_in_window(weather_.hour_of_day, get(controls_.pump_start_h), get(controls_.pump_hours));
    scheduled_ = scheduled * open_;
    Lanes const frost_run = weather_.air_temperature_K < p_.pump_frost_guard_K ? Lanes(1.0) : scheduled;
    auto const primed = volume_m3_ > get(traits_.normal_volume_m3) - p_.skimmer_depth_m * area_m2_;
    flowing_ = select(primed, frost_run * open_, Lanes(0.0));
  }

  /// Sun, sky, air, evaporation and ice. Leaves the water's heat and temperature and the water evaporated.
  void exchange_heat_and_evaporate() {
    using namespace models;
    auto const [per_area, per_volume] = inverses<Lanes>(area_m2_, volume_m3_);
    inverse_area_ = per_area;
    inverse_volume_ = per_volume;
    Lanes const capacity_J_per_K = volume_m3_ * heat_capacity_J_per_m3_K;
    Lanes const kelvin_per_J = inverse_volume_ * (1.0 / heat_capacity_J_per_m3_K);
    Lanes const temperature_K = celsius_zero_K + heat_J_ * kelvin_per_J;
    Lanes const wind = weather_.wind_speed_m_per_s * get(traits_.wind_exposure);
    sun_share_ = get(traits_.sun_exposure) * (uncovered_ + (1.0 - uncovered_) * get(traits_.cover_passes_sun));
    Lanes const vapour_share = uncovered_ + (1.0 - uncovered_) * get(traits_.cover_passes_vapour);
    auto const transfer = [&](Lanes bathers, Lanes share) {
      return evaporation_transfer_W_per_m2_Pa<Lanes>(
          {.wind_speed_m_per_s = wind, .bathers_per_m2 = bathers, .share_uncovered = share}, p_);
    };
    Lanes const ice_m = get(state_.ice_m);
    SurfaceHeat<Lanes> const surface =
        surface_heat<Lanes>({.water_temperature_K = temperature_K,
                             .air_temperature_K = weather_.air_temperature_K,
                             .air_pressure_Pa = weather_.air_pressure_Pa,
                             .vapour_pressure_of_air_Pa = weather_.vapour_pressure_of_air_Pa,
                             .sky_long_wave_W_per_m2 = weather_.sky_long_wave_W_per_m2,
                             .absorbed_sunlight_W_per_m2 = absorbed_sunlight_W_per_m2<Lanes>(
                                 weather_.sunlight_into_water_W_per_m2 * sun_share_, get(traits_.solar_absorptance)),
                             .open_transfer_W_per_m2_Pa = transfer(0.0, 1.0),
                             .wet_transfer_W_per_m2_Pa = transfer(bathers_ * inverse_area_, vapour_share)},
                            p_);
    Lanes const capacity_per_m2 = capacity_J_per_K * inverse_area_;
    HeatStep<Lanes> const open_water =
        heat_step<Lanes>({.surface = surface, .heat_capacity_J_per_m2_K = capacity_per_m2, .step_s = settings_.step_s});
    auto const frozen = ice_m > 0.0;
    Lanes flux_W_per_m2 = open_water.total_W_per_m2;
    if (any(frozen)) {
      Lanes const through_ice =
          flux_through_ice_W_per_m2<Lanes>({.ice_m = ice_m,
                                            .surface_W_per_m2 = surface.total_W_per_m2,
                                            .loss_slope_W_per_m2_K = surface.loss_slope_W_per_m2_K,
                                            .step_s = settings_.step_s});
      flux_W_per_m2 = select(frozen, through_ice, flux_W_per_m2);
    }
    Lanes const gained_J = flux_W_per_m2 * area_m2_ * settings_.step_s;
    add(books_.surface_heat_J, gained_J);
    // Evaporation of bare water; under ice next to nothing leaves as vapour.
    Lanes const depth_m = evaporation_depth_m_per_s<Lanes>(open_water.evaporation_W_per_m2,
                                                           latent_heat_of_vaporisation_J_per_kg(temperature_K)) *
                          settings_.step_s;
    // A pool never runs quite dry: what is left of it keeps its temperature and concentrations finite.
    puddle_m3_ = 1e-3 * get(traits_.normal_volume_m3);
    evaporated_m3_ =
        min(select(frozen, Lanes(0.0), depth_m) * area_m2_, 0.5 * max(volume_m3_ - puddle_m3_, Lanes(0.0)));
    salt_per_m3_ = get(state_.salt_kg) * inverse_volume_;
    IceSettling<Lanes> const settled =
        settle_ice<Lanes>({.ice_m = ice_m,
                           .water_temperature_K = temperature_K + gained_J * kelvin_per_J,
                           .freezing_point_K = freezing_point_K(salt_per_m3_),
                           .heat_capacity_J_per_m2_K = capacity_per_m2});
    Lanes const latent_J = settled.latent_J_per_m2 * area_m2_;
    add(books_.latent_heat_J, latent_J);
    set(state_.ice_m, settled.ice_m);
    heat_J_ += gained_J + latent_J;
  }

  /// Rain, overflow, leak, splash, evaporation and refill, with everything that the water carries along.
  void move_water() {
    using namespace models;
    auto const heat_of = [](Lanes water_m3, Lanes above_zero_K) {
      return water_m3 * above_zero_K * heat_capacity_J_per_m3_K;
    };
    Lanes const rain_m3 = weather_.rain_m * get(traits_.catchment_area_m2);
    RainOutcome<Lanes> const rain = collect_rain<Lanes>(
        {.water_volume_m3 = volume_m3_, .rain_volume_m3 = rain_m3, .rim_volume_m3 = get(traits_.rim_volume_m3)});
    // What flows over is mixed as what is dissolved in it (collect_rain): it takes its share of the warmth above the
    // rain's. Energy conservation of a mixed basin. Check: a cloudburst in fleet_test leaves the rain's temperature.
    Lanes const rain_above_zero_K = weather_.rain_temperature_K - celsius_zero_K;
    Lanes const overflow_J = heat_of(rain.overflow_m3, rain_above_zero_K) +
                             (heat_J_ - heat_of(volume_m3_, rain_above_zero_K)) * (1.0 - rain.share_kept);
    Lanes const leaked_m3 = leak_m3_per_s<Lanes>({.leak_at_normal_level_m3_per_s = get(traits_.leak_m3_per_s),
                                                  .water_volume_m3 = volume_m3_,
                                                  .normal_volume_m3 = get(traits_.normal_volume_m3)}) *
                            settings_.step_s;
    Lanes const splashed_m3 = splash_m3(stays_, p_);
    Lanes const after_rain_m3 = volume_m3_ + rain_m3 - rain.overflow_m3;
    Lanes const seeping_m3 = leaked_m3 + splashed_m3;
    Lanes const lost_m3 = min(seeping_m3, 0.5 * max(after_rain_m3 - evaporated_m3_ - puddle_m3_, Lanes(0.0)));
    auto const [inverse_after_rain, per_seeping] = inverses<Lanes>(after_rain_m3, max(seeping_m3, Lanes(1e-100)));
    Lanes const lost_share = lost_m3 * inverse_after_rain;
    Lanes const kept = rain.share_kept * (1.0 - lost_share);
    Lanes const gone = 1.0 - kept;
    Lanes const scale_of_losses = lost_m3 * per_seeping;
    Lanes const before_refill_m3 = after_rain_m3 - lost_m3 - evaporated_m3_;
    Lanes const missing_m3 = get(traits_.normal_volume_m3) - before_refill_m3;
    Lanes const refill_m3 = select(before_refill_m3 < get(traits_.refill_volume_m3),
                                   min(missing_m3, Lanes(p_.refill_m3_per_s * settings_.step_s)) * open_, Lanes(0.0));
    volume_m3_ = before_refill_m3 + refill_m3;
    add(books_.rain_m3, rain_m3);
    add(books_.overflow_m3, rain.overflow_m3);
    add(books_.leak_m3, leaked_m3 * scale_of_losses);
    add(books_.splash_m3, splashed_m3 * scale_of_losses);
    add(books_.evaporation_m3, evaporated_m3_);
    add(books_.refill_m3, refill_m3);

    Lanes const by_rain_J = heat_of(rain_m3, rain_above_zero_K) - overflow_J;
    Lanes const lost_J = (heat_J_ + by_rain_J) * ((lost_m3 + evaporated_m3_) * inverse_after_rain);
    Lanes const carried_J = by_rain_J - lost_J + heat_of(refill_m3, get(traits_.fill_temperature_K) - celsius_zero_K);
    heat_J_ += carried_J;
    add(books_.water_heat_J, carried_J);

    auto const carry = [&](LaneArray& amount, LaneArray& out, Lanes fill_per_m3) {
      Lanes const before = get(amount);
      Lanes const left = before * gone;
      add(out, left);
      Lanes const now = before - left + refill_m3 * fill_per_m3;
      set(amount, now);
      return now;
    };
    inverse_volume_ = 1.0 / volume_m3_;
    salt_per_m3_ = carry(state_.salt_kg, books_.salt_out_kg, get(traits_.fill_salt_kg_per_m3)) * inverse_volume_;
    calcium_mol_ = carry(state_.calcium_mol, books_.calcium_out_mol, get(traits_.fill_calcium_mol_per_m3));
    alkalinity_mol_ = carry(state_.alkalinity_mol, books_.alkalinity_out_mol, get(traits_.fill_alkalinity_mol_per_m3));
    carbon_mol_ =
        carry(state_.inorganic_carbon_mol, books_.carbon_out_mol, get(traits_.fill_inorganic_carbon_mol_per_m3));
    cyanuric_mol_ = carry(state_.cyanuric_acid_mol, books_.cyanuric_out_mol, 0.0);
    borate_mol_ = carry(state_.borate_mol, books_.borate_out_mol, 0.0);
    free_chlorine_mol_ = carry(state_.free_chlorine_mol, books_.chlorine_out_mol, 0.0);
    combined_chlorine_mol_ = carry(state_.combined_chlorine_mol, books_.chlorine_out_mol, 0.0);
    ammonia_mol_ = get(state_.ammonia_nitrogen_mol) * kept;
    urea_mol_ = get(state_.urea_nitrogen_mol) * kept;
    // Stabiliser strewn at a visit dissolves over days.
    Lanes const granules_mol = get(state_.undissolved_stabiliser_mol);
    Lanes const dissolved_mol = granules_mol * settings_.stabiliser_dissolving_share;
    set(state_.undissolved_stabiliser_mol, granules_mol - dissolved_mol);
    cyanuric_mol_ += dissolved_mol;
    set(state_.cyanuric_acid_mol, cyanuric_mol_);
    temperature_K_ = celsius_zero_K + heat_J_ * inverse_volume_ * (1.0 / heat_capacity_J_per_m3_K);
    set(state_.water_volume_m3, volume_m3_);
    set(state_.heat_J, heat_J_);
  }

  /// Where chlorine and carbonate stand now: constants, forms of chlorine, pH, saturation.
  void settle_acid_and_base() {
    using namespace models;
    Lanes const calcium = calcium_mol_ * inverse_volume_;
    Lanes const alkalinity = alkalinity_mol_ * inverse_volume_;
    k_ = water_equilibrium<Lanes>(
        {.temperature_K = temperature_K_,
         .medium = {.chloride_mol_per_m3 = salt_per_m3_ * (1.0 / molar_mass_NaCl_kg_per_mol) + 2.0 * calcium,
                    .calcium_mol_per_m3 = calcium,
                    .alkalinity_mol_per_m3 = alkalinity},
         .free_calcium_mol_per_m3 = calcium});
    watch_(Phenomenon::equilibrium_constants);
    Lanes const last_ph = get(state_.ph);
    chlorine_ = chlorine_speciation<Lanes>({.hydrogen_activity = exp10(-last_ph),
                                            .temperature_K = temperature_K_,
                                            .free_chlorine_mol_per_m3 = free_chlorine_mol_ * inverse_volume_,
                                            .cyanuric_acid_mol_per_m3 = cyanuric_mol_ * inverse_volume_},
                                           k_, settings_.cyanurates);
    watch_(Phenomenon::forms_of_chlorine);
    totals_ = {.alkalinity = alkalinity,
               .inorganic_carbon = carbon_mol_ * inverse_volume_,
               .cyanuric_acid = cyanuric_mol_ * inverse_volume_ - chlorine_.bound_cyanurate_mol_per_m3,
               .chlorinated_cyanurate = chlorine_.bound_cyanurate_mol_per_m3,
               .borate = borate_mol_ * inverse_volume_,
               .free_hypochlorous = chlorine_.hypochlorous_mol_per_m3 + chlorine_.hypochlorite_mol_per_m3};
    water_ = follow_ph(last_ph, totals_, k_);
    saturation_index_ =
        saturation_index<Lanes>({.ph = water_.ph,
                                 .hydrogen_activity = water_.hydrogen_activity,
                                 .carbonate_alkalinity_mol_per_m3 = water_.carbonate_alkalinity_mol_per_m3,
                                 .calcium_mol_per_m3 = calcium},
                                k_);
    set(state_.ph, water_.ph);
    set(state_.hypochlorous_mol_per_m3, chlorine_.hypochlorous_mol_per_m3);
    set(state_.water_temperature_K, temperature_K_);
    set(state_.saturation_index, saturation_index_);
  }

  /// Carbon dioxide between water and air; none through ice.
  void exchange_gas() {
    using namespace models;
    Lanes const velocity = gas_transfer_velocity_m_per_s<Lanes>(
                               temperature_K_, weather_.wind_for_gas_transfer * get(traits_.wind_exposure_for_gas)) *
                           get(traits_.gas_exchange_factor) * uncovered_;
    Lanes const change = gas_exchange_mol_per_m3<Lanes>(
        {.water = water_,
         .equilibrium_mol_per_m3 = k_.carbon_dioxide_mol_per_m3_Pa * p_.air_carbon_dioxide_Pa,
         .transfer_velocity_m_per_s = select(get(state_.ice_m) > 0.0, Lanes(0.0), velocity),
         .depth_m = volume_m3_ * inverse_area_,
         .step_s = settings_.step_s});
    gas_mol_ = change * volume_m3_;
  }

  /// Production, sunlight, demand, bathers, combined chlorine, algae.
  void produce_and_consume_chlorine() {
    using namespace models;
    Lanes const scale = get(state_.scale_kg_per_m2);
    covered_plates_ = scale_coverage(scale, p_);
    coating_left_ = get(state_.coating_left);
    powered_flow_ = flowing_ * get(controls_.cell_powered);
    on_ = powered_flow_ * get(controls_.output_setting);
    Lanes const warm_s = get(state_.warm_up_s);
    set(state_.warm_up_s, select(powered_flow_ > 0.0, warm_s + settings_.step_s, Lanes(0.0)));
    // The unit has power and water also where frost broke its cell, and says that the cell gives nothing.
    relative_current_ =
        get(controls_.cell_working) *
        relative_current<Lanes>(
            {.salt_kg_per_m3 = salt_per_m3_,
             .water_temperature_K = temperature_K_,
             .share_warm = warm_share(warm_s * (1.0 / seconds_per_hour), settings_.step_s / seconds_per_hour, p_)},
            p_);
    relative_output_ = relative_output<Lanes>({.relative_current = relative_current_,
                                               .salt_kg_per_m3 = salt_per_m3_,
                                               .share_covered = covered_plates_,
                                               .coating_left = coating_left_},
                                              p_);
    Lanes const rated_mol_per_s = get(traits_.cell_rated_kg_per_s) * (1.0 / molar_mass_Cl2_kg_per_mol);
    Lanes const made_per_s = rated_mol_per_s * on_ * relative_output_;
    made_mol_ = made_per_s * settings_.step_s;
    cell_output_ = on_ * relative_output_;

    Lanes const algae = get(state_.algae);
    Lanes const debris_kg = get(state_.debris_kg) + get(day_.debris_kg) * (settings_.step_s / seconds_per_day);
    set(state_.debris_kg, debris_kg * (1.0 - settings_.skimmed_share * flowing_));
    Lanes const loss_per_s =
        dark_demand_per_s(temperature_K_, get(traits_.demand_factor), p_) +
        debris_demand_per_s(debris_kg * inverse_volume_, p_) + algae_demand_per_s(algae, p_) +
        sunlight_loss_per_s<Lanes>({.chlorine = chlorine_,
                                    .irradiance_at_water_W_per_m2 = weather_.global_irradiance_W_per_m2 * sun_share_,
                                    .depth_mean = get(traits_.ultraviolet_depth_mean)},
                                   p_);
    Lanes const after_losses_mol = after_loss<Lanes>({.amount = free_chlorine_mol_,
                                                      .source_per_s = made_per_s,
                                                      .loss_rate_per_s = loss_per_s,
                                                      .step_s = settings_.step_s});
    BatherLoad<Lanes> const load = bather_load(stays_, p_);
    CombinedOutcome<Lanes> const combined =
        step_combined_chlorine<Lanes>({.free_chlorine_mol = after_losses_mol,
                                       .combined_chlorine_mol = combined_chlorine_mol_,
                                       .ammonia_nitrogen_mol = ammonia_mol_ + load.ammonia_nitrogen_mol,
                                       .urea_nitrogen_mol = urea_mol_ + load.urea_nitrogen_mol,
                                       .hypochlorous_mol_per_m3 = chlorine_.hypochlorous_mol_per_m3,
                                       .step_s = settings_.step_s},
                                      p_);
    Lanes const free_mol =
        max(after_losses_mol - combined.free_chlorine_used_mol - load.chlorine_demand_mol, Lanes(0.0));
    // What is no longer chlorine has become chloride, and took its alkalinity along.
    Lanes const used_mol =
        free_chlorine_mol_ + combined_chlorine_mol_ + made_mol_ - free_mol - combined.combined_chlorine_mol;
    alkalinity_change_mol_ = (made_mol_ - used_mol) * alkalinity_per_chlorine;
    set(state_.free_chlorine_mol, free_mol);
    set(state_.combined_chlorine_mol, combined.combined_chlorine_mol);
    set(state_.ammonia_nitrogen_mol, combined.ammonia_nitrogen_mol);
    set(state_.urea_nitrogen_mol, combined.urea_nitrogen_mol);
    add(books_.chlorine_made_mol, made_mol_);
    add(books_.chlorine_used_mol, used_mol);
    add(books_.alkalinity_chlorine_mol, alkalinity_change_mol_);
    algae_ = step_algae<Lanes>({.algae = algae,
                                .hypochlorous_mol_per_m3 = chlorine_.hypochlorous_mol_per_m3,
                                .temperature_K = temperature_K_,
                                .step_s = settings_.step_s},
                               p_);
    set(state_.algae, algae_);
    free_chlorine_mol_ = free_mol;
    Lanes const stripped_mol =
        min(carbon_dioxide_stripped_mol_per_s<Lanes>({.chlorine_production_mol_per_s = made_per_s,
                                                      .carbon_dioxide_mol_per_m3 = water_.carbon_dioxide_mol_per_m3,
                                                      .solubility_mol_per_m3_Pa = k_.carbon_dioxide_mol_per_m3_Pa},
                                                     p_) *
                settings_.step_s,
            0.1 * carbon_mol_);
    gas_mol_ -= stripped_mol;
  }

  /// Scale takes calcium, carbonate and twice that alkalinity from the water, or gives them back.
  void grow_scale_and_wear_coating() {
    using namespace models;
    Lanes const scale = get(state_.scale_kg_per_m2);
    Lanes const reversals = get(traits_.reversals_per_s);
    Lanes const plates_m2 = get(traits_.cell_plate_area_m2);
    Lanes const wanted = scale_change_kg_per_m2<Lanes>(
        {.film = {.carbonate_alkalinity_mol_per_m3 = water_.carbonate_alkalinity_mol_per_m3,
                  .inorganic_carbon_mol_per_m3 = totals_.inorganic_carbon,
                  .calcium_mol_per_m3 = calcium_mol_ * inverse_volume_},
         .temperature_K = temperature_K_,
         .bulk = {.hydrogen_activity = water_.hydrogen_activity,
                  .carbon_dioxide_mol_per_m3 = water_.carbon_dioxide_mol_per_m3,
                  .saturation_index = saturation_index_},
         .scale_kg_per_m2 = scale,
         .share_on = on_ * select(relative_output_ > 0.0, Lanes(1.0), Lanes(0.0)),
         .share_flowing = flowing_,
         .reversals_per_s = reversals,
         .step_s = settings_.step_s},
        k_, p_);
    Lanes const calcite_per_kg = plates_m2 * (1.0 / molar_mass_CaCO3_kg_per_mol);
    Lanes const calcite_mol = min(wanted * calcite_per_kg, 0.5 * calcium_mol_);
    Lanes const new_scale = max(scale + calcite_mol / calcite_per_kg, Lanes(0.0));
    set(state_.scale_kg_per_m2, new_scale);
    set(state_.calcium_mol, calcium_mol_ - calcite_mol);
    set(state_.alkalinity_mol, alkalinity_mol_ + alkalinity_change_mol_ - 2.0 * calcite_mol);
    set(state_.inorganic_carbon_mol, carbon_mol_ + gas_mol_ - calcite_mol);
    add(books_.calcium_scale_mol, calcite_mol);
    add(books_.alkalinity_scale_mol, 2.0 * calcite_mol);
    add(books_.carbon_scale_mol, calcite_mol);
    add(books_.carbon_air_mol, gas_mol_);
    Lanes const wear = coating_wear<Lanes>({.share_on = on_ * relative_current_,
                                            .coating_life_h = get(traits_.coating_life_h),
                                            .reversals_per_s = reversals,
                                            .salt_kg_per_m3 = salt_per_m3_,
                                            .water_temperature_K = temperature_K_,
                                            .share_covered = covered_plates_,
                                            .step_s = settings_.step_s},
                                           p_);
    coating_left_ = max(coating_left_ - wear, Lanes(0.0));
    set(state_.coating_left, coating_left_);
    set(hours_.largest_scale_kg_per_m2, max(get(hours_.largest_scale_kg_per_m2), new_scale));
    set(state_.freeze_dose_K_s, step_freeze_dose<Lanes>({.dose_K_s = get(state_.freeze_dose_K_s),
                                                         .air_temperature_K = weather_.air_temperature_K,
                                                         .flowing = max(flowing_, get(controls_.lines_protected)),
                                                         .step_s = settings_.step_s},
                                                        p_));
  }

  void light_warnings() {
    using namespace models;
    Lanes const conductivity = conductivity_S_per_m<Lanes>({.salt_kg_per_m3 = salt_per_m3_,
                                                            .calcium_mol_per_m3 = calcium_mol_ * inverse_volume_,
                                                            .alkalinity_mol_per_m3 = totals_.alkalinity,
                                                            .temperature_K = temperature_K_});
    Lanes const air = get(day_.air_in_line);
    unit_salt_ = unit_salt_reading_kg_per_m3<Lanes>(
        {.conductivity_S_per_m = conductivity,
         .water_temperature_K = temperature_K_,
         .sensor_gain = get(traits_.sensor_gain) + get(traits_.sensor_drift_per_s) * weather_.time_s,
         .share_covered = covered_plates_,
         .air_in_line = air},
        p_);
    voltage_V_ = cell_voltage_V<Lanes>(
        {.conductivity_S_per_m = conductivity, .share_covered = covered_plates_, .coating_left = coating_left_}, p_);
    Warnings<Lanes> const lit = judge_warnings<Lanes>({.unit_salt_kg_per_m3 = unit_salt_,
                                                       .voltage_V = voltage_V_,
                                                       .relative_output = relative_output_,
                                                       .air_in_line = air,
                                                       .powered_and_flowing = powered_flow_,
                                                       .low_salt_warning = get(state_.low_salt_warning),
                                                       .check_cell_warning = get(state_.check_cell_warning)},
                                                      p_);
    set(state_.low_salt_warning, lit.low_salt);
    set(state_.check_cell_warning, lit.check_cell);
    set(state_.unit_salt_kg_per_m3, unit_salt_);
    set(state_.cell_voltage_V, voltage_V_);
    set(state_.cell_output, cell_output_);
    warning_ = max(lit.low_salt, lit.check_cell);
  }

  /// Hours in and out of range, for the season's totals.
  void count() {
    using namespace models;
    WaterBands const& bands = settings_.bands;
    Lanes const counted = get(controls_.counted) * (settings_.step_s / seconds_per_hour);
    auto const count_if = [&](LaneArray& hours, auto condition) { add(hours, select(condition, counted, Lanes(0.0))); };
    Lanes const chlorine = free_chlorine_mol_ * inverse_volume_ * molar_mass_Cl2_kg_per_mol;
    auto const low = chlorine < bands.free_chlorine_low_kg_per_m3;
    auto const high = chlorine > bands.free_chlorine_high_kg_per_m3;
    add(hours_.open_h, counted);
    count_if(hours_.free_chlorine_low_h, low);
    count_if(hours_.free_chlorine_high_h, high);
    count_if(hours_.active_chlorine_low_h,
             chlorine_.hypochlorous_mol_per_m3 < settings_.active_chlorine_low_mol_per_m3);
    count_if(hours_.ph_in_range_h, (water_.ph >= bands.ph_low) & (water_.ph <= bands.ph_high));
    count_if(hours_.saturation_in_range_h,
             (saturation_index_ >= bands.saturation_index_low) & (saturation_index_ <= bands.saturation_index_high));
    count_if(hours_.salt_in_range_h,
             (salt_per_m3_ >= bands.salt_low_kg_per_m3) & (salt_per_m3_ <= bands.salt_high_kg_per_m3));
    count_if(hours_.cloudy_h, algae_ >= 1.0);
    Lanes const wanted = select(get(controls_.output_setting) > 0.0, scheduled_ * counted, Lanes(0.0));
    auto const idle = cell_output_ <= 0.0;
    add(hours_.without_production_h, select(idle, wanted, Lanes(0.0)));
    add(hours_.wanted_today_h, wanted);
    add(hours_.made_today_mol, made_mol_);
    add(hours_.warning_h, warning_ * counted);
    auto const innocent = (salt_per_m3_ >= bands.salt_low_kg_per_m3) &
                          (get(state_.scale_kg_per_m2) < p_.scale_flakes_kg_per_m2) &
                          (coating_left_ > p_.coating_fade_share) & (get(controls_.cell_working) > 0.5);
    add(hours_.false_warning_h, select(innocent, warning_ * counted, Lanes(0.0)));
    add(hours_.cell_h, select(relative_current_ > 0.0, on_, Lanes(0.0)) * (settings_.step_s / seconds_per_hour));
    add(hours_.chlorine_produced_mol, made_mol_);
    Lanes const cell_W = current_for_production_A(get(traits_.cell_rated_kg_per_s) * (1.0 / molar_mass_Cl2_kg_per_mol),
                                                  settings_.rated_efficiency) *
                         voltage_V_ * on_ * relative_current_;
    add(hours_.pump_energy_J, (flowing_ * get(traits_.pump_power_W) + cell_W) * settings_.step_s);
    set(hours_.largest_saturation_index, max(get(hours_.largest_saturation_index), saturation_index_));
  }

  PoolState& state_;
  PoolTraits const& traits_;
  PoolControls const& controls_;
  PoolDay const& day_;
  PoolHours& hours_;
  PoolBooks& books_;
  std::size_t lane_;
  HourForcing const& weather_;
  KernelSettings const& settings_;
  models::Parameters const& p_;
  [[no_unique_address]] Watch watch_;

  Lanes volume_m3_, heat_J_, area_m2_, inverse_area_, inverse_volume_, temperature_K_, salt_per_m3_;
  Lanes open_, uncovered_, bathers_, stays_, scheduled_, flowing_, sun_share_, evaporated_m3_, puddle_m3_;
  Lanes calcium_mol_, alkalinity_mol_, carbon_mol_, cyanuric_mol_, borate_mol_;
  Lanes free_chlorine_mol_, combined_chlorine_mol_, ammonia_mol_, urea_mol_;
  models::WaterEquilibrium<Lanes> k_;
  models::Speciation<Lanes> chlorine_;
  models::AcidBaseTotals<Lanes> totals_;
  models::AcidBase<Lanes> water_;
  Lanes saturation_index_, gas_mol_, made_mol_, alkalinity_change_mol_, algae_;
  Lanes covered_plates_, coating_left_, powered_flow_, on_, relative_current_, relative_output_, cell_output_;
  Lanes unit_salt_, voltage_V_, warning_;
};

/// Advances the used pools of a block by one step. Flattened: a phenomenon that stays a call keeps its numbers in
/// memory.
template <class Lanes>
[[gnu::flatten]] void advance_block(PoolBlock& block, HourForcing const& weather, KernelSettings const& settings) {
  for (std::size_t lane = 0; lane < block.lanes_used; lane += LaneAccess<Lanes>::width()) {
    PoolHour<Lanes>(block, lane, weather, settings).run();
  }
}

}  // namespace brinecast::sim

#ifdef __clang__
#pragma clang diagnostic pop
#endif
