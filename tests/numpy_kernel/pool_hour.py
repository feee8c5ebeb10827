"""The hourly step of sim/fleet/kernel.hpp in NumPy: all pools at once, one array per quantity.

The same equations in the same order, as a NumPy programmer would write them who cares for speed: arrays made once, every
result into an array that is there already, no loop over pools. The names and the sources of the equations are those of
models/.
"""
import types

import numpy as np

add, sub, mul, div = np.add, np.subtract, np.multiply, np.divide
exp, log, sqrt = np.exp, np.log, np.sqrt
minimum, maximum, copyto = np.minimum, np.maximum, np.copyto
less, greater, greater_equal, less_equal = np.less, np.greater, np.greater_equal, np.less_equal

LN10 = 2.302585092994045684
GAS_CONSTANT = 8.314462618
FARADAY = 96485.33212
STEFAN_BOLTZMANN = 5.670374419e-8
ZERO_C = 273.15
ATMOSPHERE = 101325.0
REFERENCE_K = 298.15
HOUR_S, DAY_S = 3600.0, 86400.0
CL2, NACL, CACO3, NITROGEN = 0.070906, 0.0584428, 0.100087, 0.014007
DENSITY, HEAT_CAPACITY = 997.0, 4180.0
ICE_DENSITY, FUSION, ICE_CONDUCTIVITY = 916.7, 333550.0, 2.2
J_PER_M3_K = DENSITY * HEAT_CAPACITY
LATENT_J_PER_M3 = ICE_DENSITY * FUSION
WATER_REFLECTANCE = 0.066

GROUPS = ("state", "traits", "controls", "day", "hours", "books")
SCRATCH = """uncovered bathers stays scheduled flowing sun_share puddle evaporated gone kept rain refill lost volume
    inverse_volume inverse_temperature log_temperature temperature salt calcium alkalinity
    davies inverse_activity first second unpaired bicarbonate_pairing carbonate_pairing calcium_carbonate water
    hypochlorous_k cyanuric_k boric_k solubility calcite_minus_second calcite_pk h ratio hocl hypochlorite bound carriers
    total_carbon free_cyanuric borate free_hocl alkalinity_at slope curvature mean co2_share co2 carbonate_alkalinity
    co2_per_carbon index gas made made_per_s alkalinity_change covered powered_flow on current output cell_output unit_salt
    voltage warning free combined ammonia urea conductivity by_acid by_carbonic by_water
    a b c d e f g i j k l m n o""".split()


def horner(x, coefficients, out):
    """Polynomial with the highest coefficient first, into `out`, which must not be `x`."""
    mul(x, coefficients[0], out)
    for coefficient in coefficients[1:-1]:
        add(out, coefficient, out)
        mul(out, x, out)
    add(out, coefficients[-1], out)


def clip(x, low, high):
    """Limits x in place; np.clip costs more in Python than two ufuncs."""
    maximum(x, low, x)
    minimum(x, high, x)


def exp10(x, out):
    mul(x, LN10, out)
    exp(out, out)


def window(hour, start, length, out, t):
    """Share of the hour inside a daily window that may run past midnight."""
    add(start, length, t)
    minimum(t, hour + 1.0, out)
    minimum(t, hour + 25.0, t)
    second = maximum(start, hour + 24.0)
    sub(t, second, t)
    maximum(start, hour, second)
    sub(out, second, out)
    maximum(out, 0.0, out)
    maximum(t, 0.0, t)
    add(out, t, out)
    minimum(out, 1.0, out)


class Pools:
    """A fleet as a case file holds it; `copies` lays its pools side by side so many times, `pools` cuts it to size."""

    def __init__(self, case, group="before", pools=None):
        have = len(case[group]["state"]["salt_kg"])
        self.pools = pools or have
        copies = -(-self.pools // have)
        self.names = {name: list(case[group][name]) for name in GROUPS}
        for name in GROUPS:
            arrays = {k: np.ascontiguousarray(np.tile(np.asarray(v, dtype=float), copies)[: self.pools])
                      for k, v in case[group][name].items()}
            setattr(self, name, types.SimpleNamespace(**arrays))
        self.p = types.SimpleNamespace(**case["parameters"])
        self.settings = types.SimpleNamespace(**case["settings"])
        self.set = types.SimpleNamespace(**case["cyanurates"])
        self.bands = types.SimpleNamespace(**case["bands"])
        self.w = types.SimpleNamespace(**{name: np.empty(self.pools) for name in SCRATCH})
        self.mask = np.empty(self.pools, dtype=bool)
        self.mask_2 = np.empty(self.pools, dtype=bool)
        # What follows from a pool's traits alone.
        tr = self.traits
        tr.inverse_area = 1.0 / tr.surface_area_m2
        tr.prime_m3 = tr.normal_volume_m3 - self.p.skimmer_depth_m * tr.surface_area_m2
        tr.rated_mol_per_s = tr.cell_rated_kg_per_s / CL2
        tr.calcite_mol_per = tr.cell_plate_area_m2 / CACO3
        tr.absorptance = tr.solar_absorptance / (1.0 - WATER_REFLECTANCE)
        tr.reversal_wear = 1.0 + self.p.wear_per_daily_reversal * tr.reversals_per_s * DAY_S
        tr.demand = self.p.dark_demand_at_25_C_per_s * tr.demand_factor
        tr.cell_A = tr.rated_mol_per_s * (2.0 * FARADAY) / self.settings.rated_efficiency

    def start_day(self):
        self.hours.made_today_mol.fill(0.0)
        self.hours.wanted_today_h.fill(0.0)

    def advance(self, weather):
        """One hour; `weather` has the members of sim/fleet/forcing.hpp."""
        self.start(weather)
        self.exchange_heat_and_evaporate(weather)
        self.move_water(weather)
        self.settle_acid_and_base()
        self.exchange_gas(weather)
        self.produce_and_consume_chlorine(weather)
        self.grow_scale_and_wear_coating(weather)
        self.light_warnings(weather)
        self.count()

    def start(self, weather):
        w, tr, c, p = self.w, self.traits, self.controls, self.p
        hour = weather.hour_of_day
        window(hour, tr.uncovered_from_h, tr.uncovered_h, w.uncovered, w.a)
        end = p.bathing_from_h + p.bathing_h
        bathing = min(sum(max(min(end, at + 1.0) - max(p.bathing_from_h, at), 0.0) for at in (hour, hour + 24.0)), 1.0)
        mul(self.day.bathers, bathing / p.bathing_h, w.bathers)
        mul(w.bathers, c.open, w.stays)
        w.stays *= self.settings.step_s / HOUR_S
        window(hour, c.pump_start_h, c.pump_hours, w.scheduled, w.a)
        w.scheduled *= c.open
        greater(self.state.water_volume_m3, tr.prime_m3, self.mask)
        mul(c.open if weather.air_temperature_K < p.pump_frost_guard_K else w.scheduled, self.mask, w.flowing)

    def exchange_heat_and_evaporate(self, weather):
        w, s, tr, p, step = self.w, self.state, self.traits, self.p, self.settings.step_s
        capacity, temperature, above, per_m2 = w.a, w.b, w.c, w.d
        mul(s.water_volume_m3, J_PER_M3_K, capacity)
        div(s.heat_J, capacity, above)
        add(above, ZERO_C, temperature)
        mul(capacity, tr.inverse_area, per_m2)
        # Shares that pass the cover.
        covered, vapour_share = w.e, w.f
        sub(1.0, w.uncovered, covered)
        mul(covered, tr.cover_passes_sun, w.sun_share)
        w.sun_share += w.uncovered
        w.sun_share *= tr.sun_exposure
        mul(covered, tr.cover_passes_vapour, vapour_share)
        vapour_share += w.uncovered
        # Transfer of the open surface, and of the wet one with bathers and cover.
        open_transfer, wet_transfer = w.g, w.i
        mul(tr.wind_exposure, weather.wind_speed_m_per_s * p.evaporation_wind_J_per_m3_Pa, open_transfer)
        open_transfer += p.evaporation_still_W_per_m2_Pa
        open_transfer *= p.evaporation_factor
        mul(w.bathers, tr.inverse_area, wet_transfer)
        wet_transfer *= 1.0 / p.crowded_bathers_per_m2
        minimum(wet_transfer, 1.0, wet_transfer)
        wet_transfer *= p.crowded_evaporation_gain
        wet_transfer += 1.0
        wet_transfer *= open_transfer
        wet_transfer *= vapour_share
        # Vapour pressure over the water and its slope.
        inverse, exponent, pressure, slope = w.e, w.f, w.j, w.k
        add(above, 257.14, inverse)
        div(1.0, inverse, inverse)
        mul(above, -1.0 / 234.5, exponent)
        add(exponent, 18.678, exponent)
        exponent *= above
        exponent *= inverse
        exp(exponent, pressure)
        pressure *= 611.21
        mul(above, -2.0 / 234.5, slope)
        slope += 18.678
        slope -= exponent
        slope *= inverse
        slope *= pressure
        # Fluxes into the water and their slopes.
        evaporation, evaporation_slope, total, loss_slope, t = w.j, w.k, w.l, w.m, w.n
        sub(pressure, weather.vapour_pressure_of_air_Pa, evaporation)
        evaporation *= wet_transfer
        evaporation_slope *= wet_transfer
        mul(open_transfer, weather.air_pressure_Pa * p.bowen_coefficient_per_K, loss_slope)
        sub(temperature, weather.air_temperature_K, t)
        t *= loss_slope
        emission = p.water_emissivity * STEFAN_BOLTZMANN
        cubed = w.e
        mul(temperature, temperature, cubed)
        cubed *= temperature
        mul(w.sun_share, weather.sunlight_into_water_W_per_m2, total)
        total *= tr.absorptance
        total += p.water_emissivity * weather.sky_long_wave_W_per_m2
        total -= t
        total -= evaporation
        mul(cubed, emission, t)
        t *= temperature
        total -= t
        loss_slope += evaporation_slope
        cubed *= 4.0 * emission
        loss_slope += cubed
        # Open water relaxes towards its surroundings.
        relaxations, mean_total = w.e, w.f
        mul(loss_slope, step, relaxations)
        relaxations /= per_m2
        mul(relaxations, 1.0 / 12.0, t)
        t += 0.5
        t *= relaxations
        t += 1.0
        div(total, t, mean_total)
        mul(mean_total, 0.5 * step, t)
        t /= per_m2
        t *= evaporation_slope
        evaporation += t
        # Through ice a loss is slowed, a gain passed on.
        frozen, cold = self.mask, self.mask_2
        greater(s.ice_m, 0.0, frozen)
        less(total, 0.0, cold)
        per_m, begin, loss, end = w.e, w.g, w.i, w.k
        mul(loss_slope, 1.0 / ICE_CONDUCTIVITY, per_m)
        mul(per_m, s.ice_m, begin)
        begin += 1.0
        np.negative(total, loss)
        maximum(loss, 0.0, loss)
        loss *= 2.0 * step / LATENT_J_PER_M3
        mul(per_m, loss, per_m)
        mul(begin, begin, end)
        end += per_m
        sqrt(end, end)
        end += begin
        loss /= end
        loss *= -LATENT_J_PER_M3 / step
        copyto(total, loss, where=cold)
        gained = mean_total
        copyto(gained, total, where=frozen)
        gained *= tr.surface_area_m2
        gained *= step
        self.books.surface_heat_J += gained
        # Evaporation of bare water.
        latent = w.e
        horner(above, (-0.06, 1.6, -2360.0, 2500800.0), latent)
        latent *= DENSITY
        depth = evaporation
        maximum(depth, 0.0, depth)
        depth /= latent
        depth *= step
        copyto(depth, 0.0, where=frozen)
        depth *= tr.surface_area_m2
        mul(tr.normal_volume_m3, 1e-3, w.puddle)
        sub(s.water_volume_m3, w.puddle, t)
        maximum(t, 0.0, t)
        t *= 0.5
        minimum(depth, t, w.evaporated)
        # Ice and water come to balance at constant heat.
        div(s.salt_kg, s.water_volume_m3, t)
        t *= 1.86 * 2.0 * 0.94 / (1000.0 * NACL)
        excess, ice = w.e, w.g
        div(gained, capacity, excess)
        excess += above
        excess += t
        excess *= per_m2
        excess *= 1.0 / LATENT_J_PER_M3
        sub(s.ice_m, excess, ice)
        maximum(ice, 0.0, ice)
        sub(ice, s.ice_m, t)
        t *= LATENT_J_PER_M3
        t *= tr.surface_area_m2
        self.books.latent_heat_J += t
        s.ice_m[:] = ice
        t += gained
        s.heat_J += t

    def move_water(self, weather):
        w, s, tr, b, p = self.w, self.state, self.traits, self.books, self.p
        step = self.settings.step_s
        by_rain, overflow, t, after_rain, leaked, splashed, losses = w.a, w.b, w.c, w.d, w.e, w.f, w.g
        mul(tr.catchment_area_m2, weather.rain_m, w.rain)
        add(s.water_volume_m3, w.rain, overflow)
        overflow -= tr.rim_volume_m3
        maximum(overflow, 0.0, overflow)
        maximum(tr.rim_volume_m3, s.water_volume_m3, t)
        maximum(t, 1e-6, t)
        div(overflow, t, w.kept)
        np.negative(w.kept, w.kept)
        exp(w.kept, w.kept)
        # Heat by rain and overflow, which takes its share of the warmth above the rain's.
        rain_J_per_m3 = (weather.rain_temperature_K - ZERO_C) * J_PER_M3_K
        mul(s.water_volume_m3, rain_J_per_m3, t)
        sub(s.heat_J, t, t)
        sub(w.kept, 1.0, by_rain)
        by_rain *= t
        sub(w.rain, overflow, t)
        t *= rain_J_per_m3
        by_rain += t
        maximum(s.water_volume_m3, 0.0, leaked)
        leaked /= tr.normal_volume_m3
        sqrt(leaked, leaked)
        leaked *= tr.leak_m3_per_s
        leaked *= step
        mul(w.stays, p.splash_m3_per_bather, splashed)
        add(s.water_volume_m3, w.rain, after_rain)
        after_rain -= overflow
        add(leaked, splashed, losses)
        sub(after_rain, w.evaporated, t)
        t -= w.puddle
        maximum(t, 0.0, t)
        t *= 0.5
        minimum(losses, t, w.lost)
        div(w.lost, after_rain, t)
        sub(1.0, t, t)
        w.kept *= t
        sub(1.0, w.kept, w.gone)
        maximum(losses, 1e-300, losses)
        div(w.lost, losses, losses)
        leaked *= losses
        splashed *= losses
        b.rain_m3 += w.rain
        b.overflow_m3 += overflow
        b.leak_m3 += leaked
        b.splash_m3 += splashed
        b.evaporation_m3 += w.evaporated
        before_refill = w.volume
        sub(after_rain, w.lost, before_refill)
        before_refill -= w.evaporated
        sub(tr.normal_volume_m3, before_refill, w.refill)
        minimum(w.refill, p.refill_m3_per_s * step, w.refill)
        w.refill *= self.controls.open
        less(before_refill, tr.refill_volume_m3, self.mask)
        w.refill *= self.mask
        b.refill_m3 += w.refill
        w.volume += w.refill
        s.water_volume_m3[:] = w.volume
        # Heat that the water carries.
        carried = w.f
        add(w.lost, w.evaporated, t)
        t /= after_rain
        add(s.heat_J, by_rain, carried)
        t *= carried
        sub(by_rain, t, carried)
        sub(tr.fill_temperature_K, ZERO_C, t)
        t *= w.refill
        t *= J_PER_M3_K
        carried += t
        s.heat_J += carried
        b.water_heat_J += carried

        def carry(amount, out, fill_per_m3=None):
            mul(amount, w.gone, t)
            out += t
            amount -= t
            if fill_per_m3 is not None:
                mul(w.refill, fill_per_m3, t)
                amount += t

        carry(s.salt_kg, b.salt_out_kg, tr.fill_salt_kg_per_m3)
        carry(s.calcium_mol, b.calcium_out_mol, tr.fill_calcium_mol_per_m3)
        carry(s.alkalinity_mol, b.alkalinity_out_mol, tr.fill_alkalinity_mol_per_m3)
        carry(s.inorganic_carbon_mol, b.carbon_out_mol, tr.fill_inorganic_carbon_mol_per_m3)
        carry(s.cyanuric_acid_mol, b.cyanuric_out_mol)
        carry(s.borate_mol, b.borate_out_mol)
        carry(s.free_chlorine_mol, b.chlorine_out_mol)
        carry(s.combined_chlorine_mol, b.chlorine_out_mol)
        s.ammonia_nitrogen_mol *= w.kept
        s.urea_nitrogen_mol *= w.kept
        mul(s.undissolved_stabiliser_mol, self.settings.stabiliser_dissolving_share, t)
        s.undissolved_stabiliser_mol -= t
        s.cyanuric_acid_mol += t
        div(1.0, w.volume, w.inverse_volume)
        mul(s.heat_J, w.inverse_volume, w.temperature)
        w.temperature *= 1.0 / J_PER_M3_K
        w.temperature += ZERO_C
        mul(s.salt_kg, w.inverse_volume, w.salt)
        mul(s.calcium_mol, w.inverse_volume, w.calcium)
        mul(s.alkalinity_mol, w.inverse_volume, w.alkalinity)

    def equilibrium(self):
        """Equilibrium constants at the water's temperature and ionic strength."""
        w = self.w
        t, inverse, log_t, squared = w.temperature, w.inverse_temperature, w.log_temperature, w.a
        div(1.0, t, inverse)
        log(t, log_t)
        log_t *= 1.0 / LN10
        mul(inverse, inverse, squared)
        x = w.b

        def combine(out, constant, by_t, by_inverse, by_log=0.0, by_squared=0.0):
            mul(inverse, by_inverse, out)
            out += constant
            if by_t:
                mul(t, by_t, x)
                out += x
            if by_log:
                mul(log_t, by_log, x)
                out += x
            if by_squared:
                mul(squared, by_squared, x)
                out += x

        # Davies.
        permittivity, strength, chloride = w.c, w.d, w.e
        add(t, 116.0, permittivity)
        div(60954.0, permittivity, permittivity)
        permittivity -= 68.937
        permittivity *= t
        sqrt(permittivity, x)
        permittivity *= x
        mul(w.salt, 1.0 / NACL, chloride)
        mul(w.calcium, 2.0, x)
        chloride += x
        maximum(w.alkalinity, 0.0, strength)
        strength += chloride
        strength += w.calcium
        strength *= 1e-3
        root = w.f
        sqrt(strength, root)
        add(root, 1.0, x)
        root /= x
        strength *= 0.3
        root -= strength
        root *= 1.82e6
        div(root, permittivity, w.davies)
        exp10(w.davies, w.inverse_activity)
        activity, activity_2, activity_4 = w.c, w.d, w.f
        div(1.0, w.inverse_activity, activity)
        mul(activity, activity, activity_2)
        mul(activity_2, activity_2, activity_4)
        # Carbonate and its pairs.
        second_pk, bicarbonate_pair, sodium_pair = w.g, w.i, w.j
        combine(second_pk, 107.8871, 0.03252849, -5151.79, -38.92561, 563713.9)
        mul(w.davies, 3.0, w.unpaired)
        w.unpaired -= second_pk
        exp10(w.unpaired, w.unpaired)
        combine(bicarbonate_pair, -6.009, 0.03377, 2044.0)
        bicarbonate_pair -= second_pk
        exp10(bicarbonate_pair, bicarbonate_pair)
        bicarbonate_pair *= activity_4
        bicarbonate_pair *= 1e-3
        combine(w.calcium_carbonate, -1228.732, -0.29944, 35512.75, 485.818)
        exp10(w.calcium_carbonate, w.calcium_carbonate)
        activity_4 *= activity_4
        w.calcium_carbonate *= activity_4
        w.calcium_carbonate *= 1e-3
        shift = -21000.0 / (GAS_CONSTANT * LN10)
        combine(sodium_pair, -0.06 - shift / REFERENCE_K, 0.0, shift)
        exp10(sodium_pair, sodium_pair)
        sodium_pair *= activity_2
        sodium_pair *= 1e-3
        sodium = chloride
        sodium += w.alkalinity
        mul(w.calcium, 2.0, x)
        sodium -= x
        maximum(sodium, 0.0, sodium)
        sodium_pair *= sodium
        bicarbonate_pair *= w.calcium
        add(bicarbonate_pair, sodium_pair, w.bicarbonate_pairing)
        w.bicarbonate_pairing += 1.0
        mul(w.calcium_carbonate, w.calcium, w.carbonate_pairing)
        w.carbonate_pairing += 1.0
        combine(w.first, -356.3094, -0.06091964, 21834.37, 126.8339, -1684915.0)
        exp10(w.first, w.first)
        w.first *= w.inverse_activity
        w.first *= w.bicarbonate_pairing
        mul(w.unpaired, w.carbonate_pairing, w.second)
        w.second /= w.bicarbonate_pairing
        for out, constant, by_t, by_inverse in (
                (w.water, 3.0 + 6.0875, -0.01706, -4471.0),
                (w.hypochlorous_k, 10.0686, -0.0253, -3000.0),
                (w.cyanuric_k, -1.12, 0.0, -1743.0),
                (w.boric_k, -9.24 + 13490.0 / (GAS_CONSTANT * LN10) / REFERENCE_K, 0.0, -13490.0 / (GAS_CONSTANT * LN10))):
            combine(out, constant, by_t, by_inverse)
            exp10(out, out)
            out *= w.inverse_activity
        combine(w.solubility, 108.3865, 0.01985076, -6919.53, -40.45154, 669365.0)
        exp10(w.solubility, w.solubility)
        w.solubility *= 1000.0 / ATMOSPHERE
        combine(w.calcite_pk, 171.9065, 0.077993, -2839.319, -71.595)
        sub(w.calcite_pk, second_pk, w.calcite_minus_second)

    def share_chlorine(self):
        """Forms of chlorine: the balances of chlorine and cyanurate, three Newton steps."""
        w, s, set_ = self.w, self.state, self.set
        mul(s.ph, -LN10, w.h)
        exp(w.h, w.h)
        ratio, factor, none, one, two, three = w.ratio, w.a, w.b, w.c, w.d, w.e
        basicity, acidity, pair, x, y = w.f, w.g, w.i, w.j, w.k
        div(w.hypochlorous_k, w.h, ratio)
        add(ratio, 1.0, factor)
        div(w.inverse_activity, w.h, basicity)
        div(w.h, w.inverse_activity, acidity)
        sub(w.inverse_temperature, 1.0 / REFERENCE_K, x)
        mul(x, set_.di_slope_K, pair)
        exp(pair, pair)
        pair *= set_.per_di_m3_per_mol
        x *= set_.mono_slope_K
        exp(x, x)
        x *= set_.per_mono_m3_per_mol  # mono_tightness
        pair *= x
        mul(basicity, set_.dissociation_3 * set_.dissociation_2, none)
        none += set_.dissociation_2
        none *= basicity
        mul(w.h, set_.protonation_factor, y)
        y /= w.cyanuric_k
        none += y
        none += 1.0
        mul(acidity, set_.per_mono_protonation, one)
        basicity *= set_.mono_dissociation
        one += basicity
        one += 1.0
        one *= x
        mul(acidity, set_.per_di_protonation, three)
        add(three, 1.0, two)
        two *= pair
        three *= pair
        three *= set_.per_tri_m3_per_mol
        total, cyanuric, linear, root, t = w.f, w.g, w.i, w.l, w.m
        mul(s.free_chlorine_mol, w.inverse_volume, total)
        maximum(total, 0.0, total)
        mul(s.cyanuric_acid_mol, w.inverse_volume, w.free_cyanuric)
        maximum(w.free_cyanuric, 0.0, cyanuric)
        sub(cyanuric, total, linear)
        linear *= one
        mul(factor, none, t)
        linear += t
        lowest = w.n
        mul(one, cyanuric, lowest)
        lowest += t
        mul(total, none, y)  # none total
        div(y, lowest, lowest)
        mul(factor, one, t)
        mul(y, t, root)
        root *= 4.0
        mul(linear, linear, x)
        root += x
        sqrt(root, root)
        hocl = w.hocl
        add(root, linear, x)
        maximum(x, 1e-300, x)
        y *= 2.0
        div(y, x, hocl)
        less_equal(linear, 0.0, self.mask)
        root -= linear
        t *= 2.0
        root /= t
        copyto(hocl, root, where=self.mask)
        all_, first, second, mean = w.i, w.k, w.l, w.m
        for _ in range(3):
            mul(three, hocl, all_)
            mul(all_, 3.0, first)
            mul(all_, 9.0, second)
            all_ += two
            mul(two, 2.0, x)
            first += x
            mul(two, 4.0, x)
            second += x
            for poly in (all_, first, second):
                poly *= hocl
                poly += one
                poly *= hocl
            all_ += none
            div(1.0, all_, all_)
            mul(first, all_, mean)
            second *= all_
            mul(mean, mean, x)
            second -= x
            second *= cyanuric  # spread
            mul(hocl, factor, x)
            second += x
            maximum(second, 1e-300, second)
            mean *= cyanuric  # bound
            x += mean
            x -= total
            x /= second
            sub(1.0, x, x)
            hocl *= x
            maximum(hocl, lowest, hocl)
        for coefficient, poly in ((two, three), (one, all_), (none, all_)):
            mul(poly, hocl, all_)
            all_ += coefficient
        div(none, all_, all_)
        sub(1.0, all_, w.carriers)
        w.carriers *= cyanuric
        mul(hocl, ratio, w.hypochlorite)
        sub(total, hocl, w.bound)
        w.bound -= w.hypochlorite
        maximum(w.bound, 0.0, w.bound)

    def alkalinity_at_h(self):
        """The alkalinity at {H+} = w.h and its derivatives by ln {H+}."""
        w, h = self.w, self.w.h
        inverse, one, two, x, y, z = w.a, w.b, w.c, w.d, w.e, w.f
        mul(w.first, h, one)
        mul(w.first, w.second, two)
        mul(h, h, x)
        add(x, one, inverse)
        inverse += two
        div(1.0, inverse, inverse)
        mul(x, inverse, w.co2_share)
        one *= inverse
        two *= inverse
        mean, square = w.mean, y
        mul(two, 2.0, mean)
        mean += one
        mul(two, 4.0, square)
        square += one
        mul(two, 8.0, z)
        z += one  # cube
        mul(mean, mean, x)
        sub(square, x, w.slope)  # variance
        np.negative(w.slope, w.slope)
        square *= -3.0
        x *= 2.0
        square += x
        square *= mean
        add(z, square, w.curvature)
        w.slope *= w.total_carbon
        w.curvature *= w.total_carbon
        mul(w.total_carbon, mean, w.alkalinity_at)
        w.alkalinity_at += w.carriers
        share, spread = w.a, w.b
        for amount, constant in ((w.free_cyanuric, w.cyanuric_k), (w.borate, w.boric_k), (w.free_hocl, w.hypochlorous_k)):
            add(h, constant, share)
            div(constant, share, share)
            mul(amount, share, x)
            w.alkalinity_at += x
            sub(1.0, share, spread)
            spread *= x
            w.slope -= spread
            share *= -2.0
            share += 1.0
            share *= spread
            w.curvature += share
        div(w.water, h, x)
        mul(h, w.inverse_activity, y)
        y *= 1000.0
        sub(x, y, z)
        w.alkalinity_at += z
        w.curvature += z
        w.slope -= x
        w.slope -= y

    def settle_acid_and_base(self):
        w, s = self.w, self.state
        self.equilibrium()
        self.share_chlorine()
        mul(s.inorganic_carbon_mol, w.inverse_volume, w.total_carbon)
        w.free_cyanuric -= w.carriers
        mul(s.borate_mol, w.inverse_volume, w.borate)
        add(w.hocl, w.hypochlorite, w.free_hocl)
        self.alkalinity_at_h()
        excess, move, x, square = w.a, w.b, w.c, w.d
        for _ in range(2):
            sub(w.alkalinity_at, w.alkalinity, excess)
            mul(w.slope, w.slope, square)
            mul(square, 2.0, x)
            mul(excess, w.curvature, move)
            x -= move
            maximum(x, square, x)
            mul(excess, w.slope, move)
            move *= -2.0
            move /= x
            clip(move, -1.5, 1.5)
            even = excess
            mul(move, move, even)
            even *= 1.0 / 12.0
            even += 1.0
            move *= 0.5
            add(even, move, x)
            even -= move
            x /= even
            w.h *= x
            self.alkalinity_at_h()
        log(w.h, s.ph)
        s.ph *= -1.0 / LN10
        mul(w.total_carbon, w.co2_share, w.co2)
        mul(w.total_carbon, w.mean, w.carbonate_alkalinity)
        mul(w.carbonate_alkalinity, w.mean, x)
        x /= w.slope
        sub(1.0, x, x)
        mul(w.co2_share, x, w.co2_per_carbon)
        # Saturation index of calcite.
        mul(w.unpaired, 2.0, x)
        x += w.h
        mul(w.carbonate_alkalinity, w.h, move)
        move /= x
        move *= w.calcium
        maximum(move, 1e-12, move)
        move *= 1e-6
        log(move, w.index)
        w.index *= 1.0 / LN10
        w.index += s.ph
        w.index += w.calcite_minus_second
        mul(w.davies, 5.0, x)
        w.index -= x
        s.hypochlorous_mol_per_m3[:] = w.hocl
        s.water_temperature_K[:] = w.temperature
        s.saturation_index[:] = w.index

    def exchange_gas(self, weather):
        w, s, tr, p = self.w, self.state, self.traits, self.p
        celsius, velocity, renewals, x = w.a, w.b, w.c, w.d
        sub(w.temperature, ZERO_C, celsius)
        horner(celsius, (0.00070284, -0.085681, 4.3773, -125.06, 1923.6), velocity)
        div(600.0, velocity, velocity)
        sqrt(velocity, velocity)
        mul(tr.wind_exposure_for_gas, 0.215 * weather.wind_for_gas_transfer, x)
        x += 2.07
        velocity *= x
        velocity *= tr.gas_exchange_factor
        velocity *= w.uncovered
        less_equal(s.ice_m, 0.0, self.mask)
        velocity *= self.mask
        mul(velocity, 0.01 / HOUR_S * self.settings.step_s, renewals)
        renewals *= tr.surface_area_m2
        renewals *= w.inverse_volume
        mul(w.solubility, p.air_carbon_dioxide_Pa, w.gas)
        w.gas -= w.co2
        w.gas *= renewals
        renewals *= w.co2_per_carbon
        mul(renewals, 1.0 / 12.0, x)
        x += 0.5
        x *= renewals
        x += 1.0
        w.gas /= x
        w.gas *= w.volume

    def produce_and_consume_chlorine(self, weather):
        w, s, tr, c, b, p = self.w, self.state, self.traits, self.controls, self.books, self.p
        step = self.settings.step_s
        x, y = w.a, w.b
        # Production.
        mul(s.scale_kg_per_m2, -1.0 / p.scale_covering_kg_per_m2, w.covered)
        exp(w.covered, w.covered)
        sub(1.0, w.covered, w.covered)
        mul(c.cell_powered, w.flowing, w.powered_flow)
        mul(w.powered_flow, c.output_setting, w.on)
        ramp, before, after = p.cell_warm_up_h, w.c, w.d
        mul(s.warm_up_s, 1.0 / HOUR_S, before)
        add(before, step / HOUR_S, after)
        for hours_on in (before, after):
            minimum(hours_on, ramp, x)
            hours_on -= x
            x *= x
            x *= 0.5 / ramp
            hours_on += x
        warm = after
        warm -= before
        warm *= HOUR_S / step
        greater(w.powered_flow, 0.0, self.mask)
        s.warm_up_s += step
        s.warm_up_s *= self.mask
        current = w.current
        sub(w.temperature, p.cell_cold_stop_K, current)
        current *= 1.0 / (p.cell_cold_full_K - p.cell_cold_stop_K)
        clip(current, 0.0, 1.0)
        greater(w.salt, p.cell_salt_stop_low_kg_per_m3, self.mask)
        less(w.salt, p.cell_salt_stop_high_kg_per_m3, self.mask_2)
        self.mask &= self.mask_2
        current *= self.mask
        current *= warm
        current *= c.cell_working
        half, rated = p.cell_efficiency_half_salt_kg_per_m3, p.cell_rated_salt_kg_per_m3
        maximum(w.salt, 0.0, x)
        add(x, half, y)
        div(x, y, w.output)
        w.output *= (rated + half) / rated
        w.output *= current
        mul(s.coating_left, 1.0 / p.coating_fade_share, x)
        clip(x, 0.0, 1.0)
        w.output *= x
        sub(1.0, w.covered, x)
        w.output *= x
        mul(w.on, w.output, w.cell_output)
        mul(w.cell_output, tr.rated_mol_per_s, w.made_per_s)
        mul(w.made_per_s, step, w.made)
        # First-order losses.
        debris, loss, factor = w.c, w.d, w.e
        mul(self.day.debris_kg, step / DAY_S, debris)
        debris += s.debris_kg
        mul(w.flowing, -self.settings.skimmed_share, x)
        x += 1.0
        mul(debris, x, s.debris_kg)
        np.negative(w.inverse_temperature, x)
        x += 1.0 / REFERENCE_K
        mul(x, p.dark_demand_activation_K, factor)
        exp(factor, factor)
        mul(factor, tr.demand, loss)
        debris *= w.inverse_volume
        debris *= p.debris_demand_m3_per_kg_s
        loss += debris
        mul(s.algae, p.algae_demand_per_s, y)
        loss += y
        x *= p.algae_growth_activation_K
        exp(x, factor)  # for the algae below
        total, weighted = w.f, w.g
        add(w.hocl, w.hypochlorite, total)
        total += w.bound
        maximum(total, 1e-12, total)
        mul(w.hocl, p.photolysis_hypochlorous_per_s, weighted)
        mul(w.hypochlorite, p.photolysis_hypochlorite_per_s, x)
        weighted += x
        mul(w.bound, p.photolysis_bound_per_s, x)
        weighted += x
        weighted /= total
        weighted *= w.sun_share
        weighted *= weather.global_irradiance_W_per_m2 / p.photolysis_reference_irradiance_W_per_m2
        weighted *= tr.ultraviolet_depth_mean
        loss += weighted
        left, mean, free = w.f, w.g, w.i
        loss *= step
        np.negative(loss, left)
        exp(left, left)
        sub(1.0, left, mean)
        maximum(loss, 1e-3, x)
        mean /= x
        less(loss, 1e-3, self.mask)
        mul(loss, -1.0 / 24.0, x)
        x += 1.0 / 6.0
        x *= loss
        sub(0.5, x, x)
        x *= loss
        sub(1.0, x, x)
        copyto(mean, x, where=self.mask)
        mean *= w.made
        mul(s.free_chlorine_mol, left, free)
        free += mean
        # Bathers' nitrogen and combined chlorine.
        nitrogen = (p.ammonia_nitrogen_kg_per_bather + p.urea_nitrogen_kg_per_bather) / NITROGEN
        other = max(p.chlorine_demand_kg_per_bather / CL2 - 1.5 * nitrogen, 0.0)
        ammonia, urea, bound, combined, unbound = w.c, w.d, w.f, w.g, w.j
        mul(w.stays, p.ammonia_nitrogen_kg_per_bather / NITROGEN, ammonia)
        ammonia += s.ammonia_nitrogen_mol
        mul(w.stays, p.urea_nitrogen_kg_per_bather / NITROGEN, urea)
        urea += s.urea_nitrogen_mol
        minimum(ammonia, free, bound)
        add(s.combined_chlorine_mol, bound, combined)
        sub(free, bound, unbound)
        sub(ammonia, bound, s.ammonia_nitrogen_mol)
        combined_share, urea_share, wanted, reach = w.k, w.l, w.m, w.n
        mul(w.hocl, -p.breakpoint_rate_m3_per_mol_s * step, combined_share)
        exp(combined_share, combined_share)
        sub(1.0, combined_share, combined_share)
        mul(w.hocl, -p.urea_rate_m3_per_mol_s * step, urea_share)
        exp(urea_share, urea_share)
        sub(1.0, urea_share, urea_share)
        combined_share *= combined
        mul(combined_share, 0.5, wanted)
        mul(urea, urea_share, x)
        x *= 1.5
        wanted += x
        minimum(wanted, unbound, unbound)  # affordable
        maximum(wanted, 1e-300, wanted)
        div(unbound, wanted, reach)
        combined_share *= reach
        combined -= combined_share
        urea_share *= reach
        sub(1.0, urea_share, urea_share)
        mul(urea, urea_share, s.urea_nitrogen_mol)
        free -= bound
        free -= unbound
        mul(w.stays, other, x)
        free -= x
        maximum(free, 0.0, free)
        used = w.k
        add(s.free_chlorine_mol, s.combined_chlorine_mol, used)
        used += w.made
        used -= free
        used -= combined
        sub(w.made, used, w.alkalinity_change)
        s.free_chlorine_mol[:] = free
        s.combined_chlorine_mol[:] = combined
        b.chlorine_made_mol += w.made
        b.chlorine_used_mol += used
        b.alkalinity_chlorine_mol += w.alkalinity_change
        # Algae.
        factor *= p.algae_growth_at_25_C_per_s
        mul(w.hocl, p.algae_kill_m3_per_mol_s, x)
        factor -= x
        factor *= step
        clip(factor, -30.0, 3.0)
        exp(factor, factor)
        s.algae *= factor
        clip(s.algae, p.algae_floor, p.algae_ceiling)
        # Carbon dioxide in the bubbles.
        div(w.co2, w.solubility, x)
        x *= w.made_per_s
        x *= p.bubble_equilibrium_share / ATMOSPHERE * step
        mul(s.inorganic_carbon_mol, 0.1, y)
        minimum(x, y, x)
        w.gas -= x

    def calcite_growth(self, h, co2, index, out, t):
        """kg/(m2 s) by the rate constants in w; `index` is used up."""
        w = self.w
        mul(w.by_acid, h, out)
        mul(w.by_carbonic, co2, t)
        t *= 1e-3
        out += t
        out += w.by_water
        index *= 2.0 / 3.0
        exp10(index, t)
        t -= 1.0
        out *= t
        out *= 10.0 * CACO3

    def grow_scale_and_wear_coating(self, weather):
        w, s, tr, b, p = self.w, self.state, self.traits, self.books, self.p
        step = self.settings.step_s
        x, y = w.a, w.b
        for out, constant, by_inverse in ((w.by_acid, 0.198, -444.0), (w.by_carbonic, 2.84, -2177.0)):
            mul(w.inverse_temperature, by_inverse, out)
            out += constant
            exp10(out, out)
        mul(w.inverse_temperature, -317.0, w.by_water)
        w.by_water += -5.86
        mul(w.inverse_temperature, -1737.0, x)
        x += -1.10
        greater(w.temperature, REFERENCE_K, self.mask)
        copyto(w.by_water, x, where=self.mask)
        exp10(w.by_water, w.by_water)
        # Cathode film.
        excess, total, carbonate, all_, product = w.c, w.d, w.e, w.f, w.g
        sub(w.carbonate_alkalinity, w.total_carbon, excess)
        excess += p.cathode_hydroxide_mol_per_m3
        maximum(excess, 0.0, excess)
        div(w.water, w.second, total)
        total += w.total_carbon
        total += excess
        excess *= w.total_carbon
        mul(total, total, x)
        mul(excess, 4.0, y)
        x -= y
        maximum(x, 0.0, x)
        sqrt(x, x)
        x += total
        x += 1e-30
        excess *= 2.0
        div(excess, x, carbonate)
        association = w.calcium_carbonate
        add(carbonate, w.calcium, all_)
        all_ *= association
        all_ += 1.0
        mul(association, carbonate, y)
        y *= w.calcium
        mul(all_, all_, x)
        mul(y, association, product)
        product *= 4.0
        x -= product
        maximum(x, 0.0, x)
        sqrt(x, x)
        x += all_
        y *= 2.0
        y /= x  # pair
        carbonate -= y
        sub(w.calcium, y, product)
        product *= carbonate
        maximum(product, 1e-18, product)
        product *= 1e-6
        solubility = w.c  # pKs - 8 f
        mul(w.davies, -8.0, solubility)
        solubility += w.calcite_pk
        growth = w.d
        log(product, growth)
        growth *= 1.0 / LN10
        growth += solubility
        growth *= 2.0 / 3.0
        exp10(growth, growth)
        growth -= 1.0
        maximum(growth, 0.0, growth)
        growth *= w.by_water
        growth *= 10.0 * CACO3 * p.scale_retained_share
        # Anode film.
        alkalinity, per_activity, first, root, hydrogen = w.e, w.f, w.g, w.i, w.j
        sub(w.carbonate_alkalinity, p.anode_acid_mol_per_m3, alkalinity)
        mul(w.inverse_activity, 1000.0, per_activity)
        mul(w.first, per_activity, first)
        sub(w.total_carbon, alkalinity, x)
        x *= first  # c
        alkalinity += first  # b
        maximum(x, 0.0, y)
        y *= 4.0
        mul(alkalinity, alkalinity, root)
        root += y
        sqrt(root, root)
        maximum(alkalinity, 1e-30, y)
        y += root
        x *= 2.0
        div(x, y, hydrogen)
        less_equal(alkalinity, 0.0, self.mask)
        root -= alkalinity
        root *= 0.5
        copyto(hydrogen, root, where=self.mask)
        maximum(hydrogen, 1e-9, hydrogen)
        hydrogen /= per_activity
        bicarbonate, anode_index = w.e, w.f
        mul(w.total_carbon, w.first, bicarbonate)
        add(hydrogen, w.first, x)
        bicarbonate /= x
        div(bicarbonate, w.bicarbonate_pairing, x)
        x *= w.unpaired
        x /= hydrogen
        x *= w.calcium
        maximum(x, 1e-18, x)
        x *= 1e-6
        log(x, anode_index)
        anode_index *= 1.0 / LN10
        anode_index += solubility
        co2, dissolution = w.e, w.g
        sub(w.total_carbon, bicarbonate, co2)
        self.calcite_growth(hydrogen, co2, anode_index, dissolution, x)
        np.negative(dissolution, dissolution)
        supply = 0.5 * CACO3 * p.film_transfer_m_per_s * p.anode_acid_mol_per_m3
        clip(dissolution, 0.0, supply)
        # Growth, dissolution, shedding, and the bulk water while it only flows.
        bulk, change = w.e, growth
        w.f[:] = w.index
        self.calcite_growth(w.h, w.co2, w.f, bulk, x)
        change -= dissolution
        change *= 0.5
        mul(tr.reversals_per_s, p.scale_shed_kg_per_m2, x)
        change -= x
        change *= w.on
        greater(w.output, 0.0, self.mask)
        change *= self.mask
        mul(w.on, self.mask, x)
        sub(w.flowing, x, x)
        maximum(x, 0.0, x)
        bulk *= p.scale_retained_share
        bulk *= x
        change += bulk
        change *= step
        np.negative(s.scale_kg_per_m2, x)
        maximum(change, x, change)
        calcite = change
        calcite *= tr.calcite_mol_per
        mul(s.calcium_mol, 0.5, x)
        minimum(calcite, x, calcite)
        div(calcite, tr.calcite_mol_per, x)
        s.scale_kg_per_m2 += x
        maximum(s.scale_kg_per_m2, 0.0, s.scale_kg_per_m2)
        s.calcium_mol -= calcite
        s.inorganic_carbon_mol += w.gas
        s.inorganic_carbon_mol -= calcite
        b.calcium_scale_mol += calcite
        b.carbon_scale_mol += calcite
        b.carbon_air_mol += w.gas
        s.alkalinity_mol += w.alkalinity_change
        calcite *= 2.0
        s.alkalinity_mol -= calcite
        b.alkalinity_scale_mol += calcite
        # Coating.
        wear = w.c
        mul(w.on, step / HOUR_S, wear)
        wear *= w.current
        wear /= tr.coating_life_h
        wear *= tr.reversal_wear
        mul(w.salt, -1.0 / p.wear_salt_kg_per_m3, x)
        x += 1.0
        maximum(x, 0.0, x)
        x *= p.wear_low_salt
        x += 1.0
        wear *= x
        sub(p.wear_cold_below_K, w.temperature, x)
        maximum(x, 0.0, x)
        x *= p.wear_cold_per_K
        x += 1.0
        wear *= x
        sub(1.0, w.covered, x)
        maximum(x, 0.2, x)
        div(p.cell_current_density_A_per_m2 / p.wear_density_A_per_m2, x, x)
        x -= 1.0
        maximum(x, 0.0, x)
        x *= p.wear_crowding
        x += 1.0
        wear *= x
        s.coating_left -= wear
        maximum(s.coating_left, 0.0, s.coating_left)
        largest = self.hours.largest_scale_kg_per_m2
        maximum(largest, s.scale_kg_per_m2, largest)
        # Frost on still lines.
        dose = s.freeze_dose_K_s
        maximum(w.flowing, self.controls.lines_protected, x)
        if weather.air_temperature_K > ZERO_C:
            dose.fill(0.0)
        less_equal(x, 0.5, self.mask)
        dose *= self.mask
        cold = max(p.freeze_dose_below_K - weather.air_temperature_K, 0.0) * step
        if cold > 0.0:
            mul(self.mask, cold, x)
            dose += x

    def light_warnings(self, weather):
        w, s, tr, p = self.w, self.state, self.traits, self.p
        x, y, milligrams = w.a, w.b, w.c
        mul(w.calcium, 2.0 * NACL, milligrams)
        milligrams += w.salt
        milligrams *= 1000.0
        sqrt(milligrams, x)
        x *= -0.0036053
        x += 2.09627
        x *= milligrams
        x *= 1e-4
        mul(w.calcium, 0.00038, y)
        x += y
        mul(w.alkalinity, 0.0086, y)
        x += y
        above = w.d
        sub(w.temperature, REFERENCE_K, above)
        horner(above, (-5.6e-7, 4.986e-5, 0.020421, 1.0), w.conductivity)
        w.conductivity *= x
        # What the unit makes of it.
        sensed, gain = w.e, w.f
        mul(tr.sensor_drift_per_s, weather.time_s, gain)
        gain += tr.sensor_gain
        mul(w.conductivity, gain, sensed)
        mul(w.covered, -p.sensor_scale_share, x)
        x += 1.0
        sensed *= x
        mul(self.day.air_in_line, -p.sensor_air_share, x)
        x += 1.0
        sensed *= x
        above *= 0.02
        above += 1.0
        sensed /= above
        maximum(sensed, 0.0, sensed)
        sensed *= 10.0
        root, slope, salt = w.f, w.d, s.unit_salt_kg_per_m3
        mul(sensed, 1.0 / 1.89, root)
        sqrt(root, root)
        limiting, bending = 2.09627, 0.0036053 * 31.622776601683793
        for _ in range(2):
            mul(root, -3.0 * bending, slope)
            slope += 2.0 * limiting
            slope *= root
            maximum(slope, 1e-30, slope)
            mul(root, -bending, x)
            x += limiting
            x *= root
            x *= root
            x -= sensed
            x /= slope
            root -= x
        mul(root, root, salt)
        voltage = s.cell_voltage_V
        sub(1.0, w.covered, x)
        maximum(x, 0.05, x)
        x *= w.conductivity
        div(p.cell_current_density_A_per_m2 * p.cell_gap_m, x, voltage)
        mul(s.coating_left, -1.0 / p.coating_fade_share, x)
        x += 1.0
        maximum(x, 0.0, x)
        x *= p.worn_overpotential_V
        voltage += x
        voltage += 1.36 + 0.83 + p.cell_overpotential_V
        # Warnings, as masks over what stands.
        judging, lit = self.mask, self.mask_2
        greater(w.powered_flow, 0.5, judging)
        greater(salt, p.warning_salt_kg_per_m3 + p.warning_salt_margin_kg_per_m3, lit)
        lit &= judging
        copyto(s.low_salt_warning, 0.0, where=lit)
        less(salt, p.warning_salt_kg_per_m3, lit)
        lit &= judging
        copyto(s.low_salt_warning, 1.0, where=lit)
        for compare, value, limit in ((greater, voltage, p.warning_voltage_V), (less, w.output, p.warning_output_share),
                                      (greater, self.day.air_in_line, 0.5)):
            compare(value, limit, lit)
            lit &= judging
            copyto(s.check_cell_warning, 1.0, where=lit)
        s.cell_output[:] = w.cell_output
        maximum(s.low_salt_warning, s.check_cell_warning, w.warning)

    def count(self):
        w, s, h, c, p, bands = self.w, self.state, self.hours, self.controls, self.p, self.bands
        step = self.settings.step_s
        counted, x = w.a, w.b
        mask, mask_2 = self.mask, self.mask_2
        mul(c.counted, step / HOUR_S, counted)
        h.open_h += counted

        def count_if(hours, condition):
            mul(counted, condition, x)
            hours += x

        chlorine = w.c
        mul(s.free_chlorine_mol, w.inverse_volume, chlorine)
        chlorine *= CL2
        count_if(h.free_chlorine_low_h, less(chlorine, bands.free_chlorine_low_kg_per_m3, mask))
        count_if(h.free_chlorine_high_h, greater(chlorine, bands.free_chlorine_high_kg_per_m3, mask))
        count_if(h.active_chlorine_low_h, less(w.hocl, self.settings.active_chlorine_low_mol_per_m3, mask))
        for hours, value, low, high in ((h.ph_in_range_h, s.ph, bands.ph_low, bands.ph_high),
                                        (h.saturation_in_range_h, w.index, bands.saturation_index_low,
                                         bands.saturation_index_high),
                                        (h.salt_in_range_h, w.salt, bands.salt_low_kg_per_m3, bands.salt_high_kg_per_m3)):
            greater_equal(value, low, mask)
            less_equal(value, high, mask_2)
            mask &= mask_2
            count_if(hours, mask)
        count_if(h.cloudy_h, greater_equal(s.algae, 1.0, mask_2))
        mul(w.warning, counted, x)
        h.warning_h += x
        innocent = greater_equal(w.salt, bands.salt_low_kg_per_m3, mask)
        innocent &= less(s.scale_kg_per_m2, p.scale_flakes_kg_per_m2, mask_2)
        innocent &= greater(s.coating_left, p.coating_fade_share, mask_2)
        innocent &= greater(c.cell_working, 0.5, mask_2)
        x *= innocent
        h.false_warning_h += x
        mul(w.scheduled, counted, x)
        x *= greater(c.output_setting, 0.0, mask)
        h.wanted_today_h += x
        x *= less_equal(w.cell_output, 0.0, mask)
        h.without_production_h += x
        h.made_today_mol += w.made
        h.chlorine_produced_mol += w.made
        mul(w.on, step / HOUR_S, x)
        x *= greater(w.current, 0.0, mask)
        h.cell_h += x
        mul(self.traits.cell_A, s.cell_voltage_V, x)
        x *= w.on
        x *= w.current
        mul(w.flowing, self.traits.pump_power_W, chlorine)
        x += chlorine
        x *= step
        h.pump_energy_J += x
        maximum(h.largest_saturation_index, w.index, h.largest_saturation_index)


def weather_of(case):
    """The hours of a case, each with the members of sim/fleet/forcing.hpp."""
    names = list(case["hours"])
    return [types.SimpleNamespace(**dict(zip(names, values))) for values in zip(*case["hours"].values())]
