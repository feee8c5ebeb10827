#include "sim/fleet/books.hpp"

#include <cmath>
#include <initializer_list>

namespace brinecast::sim {

namespace {

double closure(double start, double end, std::initializer_list<double> lines) {
  double change = end - start;
  double turnover = std::fabs(start);
  for (double const line : lines) {
    change -= line;
    turnover += std::fabs(line);
  }
  return turnover > 0.0 ? std::fabs(change) / turnover : std::fabs(change);
}

}  // namespace

double BookErrors::largest() const {
  double worst = 0.0;
  for (double const error :
       {water, heat, salt, calcium, alkalinity, inorganic_carbon, cyanuric_acid, borate, chlorine}) {
    worst = worse_of(worst, error);
  }
  return worst;
}

double worse_of(double a, double b) { return std::isnan(a) || a > b ? a : b; }

BookErrors audit(Fleet const& fleet) {
  BookErrors worst;
  auto const note = [](double& book, double error) { book = worse_of(book, error); };
  for (std::size_t number = 0; number < fleet.blocks.size(); ++number) {
    PoolBlock const& block = fleet.blocks[number];
    PoolState const& from = block.start;
    PoolState const& to = block.state;
    PoolBooks const& b = block.books;
    for (std::size_t i = 0; i < block_pools; ++i) {
      if (fleet.pool_of_lane[number][i] == no_pool) continue;
      double const refill = b.refill_m3[i];
      note(worst.water, closure(from.water_volume_m3[i], to.water_volume_m3[i],
                                {b.rain_m3[i], refill, -b.evaporation_m3[i], -b.overflow_m3[i], -b.leak_m3[i],
                                 -b.splash_m3[i], b.visit_water_m3[i]}));
      note(worst.heat, closure(from.heat_J[i], to.heat_J[i],
                               {b.surface_heat_J[i], b.latent_heat_J[i], b.water_heat_J[i], b.visit_heat_J[i]}));
      note(worst.salt, closure(from.salt_kg[i], to.salt_kg[i],
                               {refill * block.traits.fill_salt_kg_per_m3[i], -b.salt_out_kg[i], b.salt_visit_kg[i]}));
      note(worst.calcium, closure(from.calcium_mol[i], to.calcium_mol[i],
                                  {refill * block.traits.fill_calcium_mol_per_m3[i], -b.calcium_out_mol[i],
                                   -b.calcium_scale_mol[i], b.calcium_visit_mol[i]}));
      note(worst.alkalinity,
           closure(from.alkalinity_mol[i], to.alkalinity_mol[i],
                   {refill * block.traits.fill_alkalinity_mol_per_m3[i], -b.alkalinity_out_mol[i],
                    -b.alkalinity_scale_mol[i], b.alkalinity_chlorine_mol[i], b.alkalinity_visit_mol[i]}));
      note(worst.inorganic_carbon,
           closure(from.inorganic_carbon_mol[i], to.inorganic_carbon_mol[i],
                   {refill * block.traits.fill_inorganic_carbon_mol_per_m3[i], -b.carbon_out_mol[i],
                    b.carbon_air_mol[i], -b.carbon_scale_mol[i], b.carbon_visit_mol[i]}));
      note(worst.cyanuric_acid, closure(from.cyanuric_acid_mol[i] + from.undissolved_stabiliser_mol[i],
                                        to.cyanuric_acid_mol[i] + to.undissolved_stabiliser_mol[i],
                                        {-b.cyanuric_out_mol[i], b.cyanuric_visit_mol[i]}));
      note(worst.borate, closure(from.borate_mol[i], to.borate_mol[i], {-b.borate_out_mol[i], b.borate_visit_mol[i]}));
      note(worst.chlorine,
           closure(from.free_chlorine_mol[i] + from.combined_chlorine_mol[i],
                   to.free_chlorine_mol[i] + to.combined_chlorine_mol[i],
                   {-b.chlorine_out_mol[i], b.chlorine_made_mol[i], -b.chlorine_used_mol[i], b.chlorine_visit_mol[i]}));
    }
  }
  return worst;
}

}  // namespace brinecast::sim
