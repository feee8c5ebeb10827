// Doses from readings: inside the band nothing, outside it back to the target, never more than the largest single dose.

#include <algorithm>
#include <array>
#include <cmath>

#include "models/constants.hpp"
#include "models/dosing/dosing.hpp"
#include "sim/policy/rules.hpp"

namespace brinecast::sim {

namespace {

/// `wanted`, cut to `largest`; tells when it was cut.
double limited(double wanted, double largest, VisitDecision& decision) {
  if (wanted <= largest) return wanted;
  decision.fired(FiredRule::dose_limited);
  return largest;
}

constexpr Shortage shortage_of(Material material) {
  constexpr std::array<Shortage, material_count> shortages = {Shortage::salt,          Shortage::acid,
                                                              Shortage::bicarbonate,   Shortage::calcium_chloride,
                                                              Shortage::cyanuric_acid, Shortage::liquid_chlorine};
  return shortages[index_of(material)];
}

/// Share of the water to exchange for fill water so that a reading above its band becomes the target; 0 where the fill
/// water holds no less.
double share_to_dilute(std::optional<double> reading, Band const& band, double fill) {
  if (!reading || *reading <= band.high || fill >= band.target) return 0.0;
  return models::share_to_drain({.reading = *reading, .target = band.target, .fill = fill});
}

void drain_excess(RuleInputs const& in, VisitDecision& decision) {
  DosingSpec const& dosing = in.policy.dosing;
  if (dosing.largest_drain_share <= 0.0) return;
  FillWater const& fill = in.visit.fill;
  double const wanted =
      std::max({share_to_dilute(in.readings.salt_kg_per_m3, dosing.salt_kg_per_m3, fill.salt_kg_per_m3),
                share_to_dilute(in.readings.calcium_mol_per_m3, dosing.calcium_mol_per_m3, fill.calcium_mol_per_m3),
                share_to_dilute(in.readings.cyanuric_acid_mol_per_m3, dosing.cyanuric_acid_mol_per_m3, 0.0)});
  if (wanted <= 0.0) return;
  decision.actions.drain_m3 = limited(wanted, dosing.largest_drain_share, decision) * in.pool.water_volume_m3;
  decision.did(VisitTask::drain);
  decision.fired(FiredRule::water_drained);
}

/// The salt that the policy trusts, if it was read at this visit.
std::optional<double> trusted_salt(RuleInputs const& in, VisitDecision& decision) {
  DosingSpec const& dosing = in.policy.dosing;
  bool const unit_low = in.readings.warning_low_salt || (in.readings.unit_salt_kg_per_m3 &&
                                                         *in.readings.unit_salt_kg_per_m3 < dosing.salt_kg_per_m3.low);
  if (dosing.salt_check == SaltCheck::unit_display) {
    if (unit_low) decision.fired(FiredRule::salt_by_unit_display);
    return in.readings.unit_salt_kg_per_m3;
  }
  if (unit_low && in.readings.salt_kg_per_m3 && *in.readings.salt_kg_per_m3 >= dosing.salt_kg_per_m3.low) {
    decision.fired(FiredRule::salt_found_good);
  }
  return in.readings.salt_kg_per_m3;
}

}  // namespace

double from_van(RuleInputs const& in, Material material, double wanted, VisitDecision& decision) {
  double const available = in.visit.at_hand.materials[index_of(material)] / bought_per_action(material);
  if (wanted <= available) return wanted;
  decision.lacked(shortage_of(material));
  return available;
}

void dose_salt(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  DosingSpec const& dosing = in.policy.dosing;
  drain_excess(in, decision);
  auto const salt = trusted_salt(in, decision);
  if (salt) record.expected_salt_kg_per_m3 = *salt;
  bool const mixed = in.visit.today.day - record.salt_dose_day >= dosing.salt_wait_d;
  if (!salt || !mixed || decision.actions.drain_m3 > 0.0 || *salt >= dosing.salt_kg_per_m3.low) return;
  double const volume_m3 = in.pool.water_volume_m3;
  double const wanted_kg =
      models::salt_dose_kg({.reading = *salt, .target = dosing.salt_kg_per_m3.target, .water_volume_m3 = volume_m3},
                           dosing.salt_top_up_share);
  decision.actions.salt_kg = from_van(
      in, Material::salt, limited(wanted_kg, dosing.largest_salt_raise_kg_per_m3 * volume_m3, decision), decision);
  if (decision.actions.salt_kg <= 0.0) return;
  decision.did(VisitTask::salt);
  decision.fired(FiredRule::salt_topped_up);
  record.salt_dose_day = in.visit.today.day;
  record.expected_salt_kg_per_m3 += decision.actions.salt_kg / volume_m3;
}

void balance_water(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  DosingSpec const& dosing = in.policy.dosing;
  WaterReadings const& readings = in.readings;
  double const volume_m3 = in.pool.water_volume_m3;
  double const day = in.visit.today.day;

  bool const dissolved = day - record.cyanuric_acid_dose_day >= dosing.cyanuric_acid_wait_d;
  if (auto const reading = readings.cyanuric_acid_mol_per_m3;
      reading && dissolved && *reading < dosing.cyanuric_acid_mol_per_m3.low && decision.actions.drain_m3 == 0.0) {
    double const raise = limited(dosing.cyanuric_acid_mol_per_m3.target - *reading,
                                 dosing.largest_cyanuric_acid_raise_mol_per_m3, decision);
    decision.actions.cyanuric_acid_mol = from_van(in, Material::cyanuric_acid, raise * volume_m3, decision);
    if (decision.actions.cyanuric_acid_mol > 0.0) {
      decision.did(VisitTask::cyanuric_acid);
      decision.fired(FiredRule::cyanuric_acid_raised);
      record.cyanuric_acid_dose_day = day;
    }
  }

  if (auto const reading = readings.calcium_mol_per_m3; reading && *reading < dosing.calcium_mol_per_m3.low) {
    double const raise =
        limited(dosing.calcium_mol_per_m3.target - *reading, dosing.largest_calcium_raise_mol_per_m3, decision);
    decision.actions.calcium_mol = from_van(in, Material::calcium_chloride, raise * volume_m3, decision);
    if (decision.actions.calcium_mol > 0.0) {
      decision.did(VisitTask::calcium);
      decision.fired(FiredRule::calcium_raised);
    }
  }

  // Alkalinity as read, or as the card remembers it; pH doses rest on it.
  double alkalinity = last_or(record, Measured::alkalinity, dosing.alkalinity_mol_per_m3.target);
  bool const acidic = readings.ph && *readings.ph < dosing.ph.low;
  bool const short_of_alkalinity =
      readings.alkalinity_mol_per_m3 && *readings.alkalinity_mol_per_m3 < dosing.alkalinity_mol_per_m3.low;
  if (short_of_alkalinity || (acidic && alkalinity < dosing.alkalinity_mol_per_m3.target)) {
    double const raise =
        limited(dosing.alkalinity_mol_per_m3.target - alkalinity, dosing.largest_alkalinity_raise_mol_per_m3, decision);
    decision.actions.bicarbonate_mol = from_van(in, Material::bicarbonate, raise * volume_m3, decision);
    if (decision.actions.bicarbonate_mol > 0.0) {
      decision.did(VisitTask::bicarbonate);
      decision.fired(FiredRule::alkalinity_raised);
      alkalinity += decision.actions.bicarbonate_mol / volume_m3;
      record[Measured::alkalinity].value = alkalinity;  // what the card expects from now on
    }
  }

  if (!readings.ph) return;
  bool const too_alkaline =
      readings.alkalinity_mol_per_m3 && *readings.alkalinity_mol_per_m3 > dosing.alkalinity_mol_per_m3.high;
  // Acid for too much alkalinity goes as deep as the pH band allows; carbon dioxide lost afterwards lifts the pH again.
  double const wanted_ph = *readings.ph > dosing.ph.high ? dosing.ph.target
                           : too_alkaline                ? dosing.ph.low
                                                         : *readings.ph;
  if (*readings.ph <= wanted_ph) return;
  double const acid = limited(acid_to_reach_ph_mol_per_m3(record, *readings.ph, alkalinity, wanted_ph),
                              dosing.largest_acid_mol_per_m3, decision);
  decision.actions.acid_mol = from_van(in, Material::acid, acid * volume_m3, decision);
  if (decision.actions.acid_mol <= 0.0) return;
  decision.did(VisitTask::acid);
  decision.fired(*readings.ph > dosing.ph.high ? FiredRule::acid_for_ph : FiredRule::acid_for_alkalinity);
  record[Measured::alkalinity].value = alkalinity - decision.actions.acid_mol / volume_m3;
}

void boost_chlorine(RuleInputs const& in, PoolRecord const& record, VisitDecision& decision) {
  DosingSpec const& dosing = in.policy.dosing;
  auto const reading = in.readings.free_chlorine_kg_per_m3;
  bool const troubled = in.readings.cloudy || in.readings.algae_visible;
  if (!reading || (*reading >= dosing.free_chlorine_kg_per_m3.low && !troubled)) return;
  double const stabiliser = last_or(record, Measured::cyanuric_acid, 0.0) * models::molar_mass_cyanuric_acid_kg_per_mol;
  double const target = troubled
                            ? std::max(dosing.free_chlorine_kg_per_m3.high, dosing.shock_per_cyanuric_acid * stabiliser)
                            : free_chlorine_target_kg_per_m3(dosing, record);
  if (*reading >= target) return;
  double const largest = troubled ? dosing.largest_shock_kg_per_m3 : dosing.largest_free_chlorine_raise_kg_per_m3;
  double const raise = limited(target - *reading, largest, decision);
  decision.actions.liquid_chlorine_kg =
      from_van(in, Material::liquid_chlorine, raise * in.pool.water_volume_m3, decision);
  if (decision.actions.liquid_chlorine_kg <= 0.0) return;
  decision.did(VisitTask::liquid_chlorine);
  decision.fired(FiredRule::chlorine_boosted);
}

bool water_is_balanced(PolicySpec const& policy, PoolRecord const& record) {
  DosingSpec const& dosing = policy.dosing;
  auto const inside = [&record](Measured quantity, Band const& band) {
    double const value = last_or(record, quantity, band.target);
    return value >= band.low && value <= band.high;
  };
  return inside(Measured::ph, dosing.ph) && inside(Measured::alkalinity, dosing.alkalinity_mol_per_m3) &&
         inside(Measured::calcium, dosing.calcium_mol_per_m3) && inside(Measured::salt, dosing.salt_kg_per_m3);
}

}  // namespace brinecast::sim
