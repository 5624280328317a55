#include "models/array/rejection.h"

#include <algorithm>

namespace wetrun {
void add_rejection(const Rejection& r, double flow_m3_s, std::span<const double> cell, std::span<double> pass,
                   std::span<double> to_cell, std::span<double> to_permeate, std::span<double> settled) {
  if (!(flow_m3_s > 0) || !(cell[volume_m3] > 0)) return;
  std::fill(pass.begin() + proton, pass.begin() + first_solid, r.salt_passage);
  std::fill(pass.begin() + first_solid, pass.end(), 0.0);
  const double held = 1.0 - r.salt_passage;
  const auto available = [&](Component j) { return std::max(cell[j], 0.0) / cell[volume_m3]; };
  const auto through = [&](Component j, double amount) {
    to_cell[j] -= amount;
    to_permeate[j] += amount;
  };
  const double gas = held * flow_m3_s * std::min(r.carbon_dioxide_mol_m3, available(carbonate));
  const double acid = strong_passage * held * flow_m3_s * std::min(r.hydrogen_mol_m3, available(chloride));
  const double base = strong_passage * held * flow_m3_s * std::min(r.hydroxide_mol_m3, available(sodium));
  through(carbonate, gas);
  through(ammonia, held * flow_m3_s * std::min(r.ammonia_mol_m3, available(ammonia)));
  through(chloride, acid);
  through(sodium, base);
  through(proton, 2.0 * gas + acid - base);
  for (std::size_t f = 0; f < foulant_count; ++f) {
    settled[f] = r.settling_share * flow_m3_s * std::max(cell[first_solid + f], 0.0) / cell[volume_m3];
    to_cell[first_solid + f] -= settled[f];
  }
}

}  // namespace wetrun
