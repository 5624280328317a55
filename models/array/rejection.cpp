#include "models/array/rejection.h"

#include <algorithm>

namespace wetrun {
void add_rejection(const Rejection& r, double flow_m3_s, std::span<const double> cell, std::span<double> to_cell,
                   std::span<double> to_permeate, std::span<double> settled) {
  if (!(flow_m3_s > 0) || !(cell[volume_m3] > 0)) return;
  const double per_s = flow_m3_s / cell[volume_m3];
  const double held = 1.0 - r.salt_passage;
  Amounts back{};
  for (std::size_t j = proton; j < first_solid; ++j) back[j] = held * per_s * cell[j];
  const auto available = [&](Component j) { return std::max(cell[j], 0.0) / cell[volume_m3]; };

  const double gas = held * flow_m3_s * std::min(r.carbon_dioxide_mol_m3, available(carbonate));
  back[carbonate] -= gas;
  back[proton] -= 2.0 * gas;
  back[ammonia] -= held * flow_m3_s * std::min(r.ammonia_mol_m3, available(ammonia));
  const double acid = strong_passage * held * flow_m3_s * std::min(r.hydrogen_mol_m3, available(chloride));
  back[proton] -= acid;
  back[chloride] -= acid;
  const double base = strong_passage * held * flow_m3_s * std::min(r.hydroxide_mol_m3, available(sodium));
  back[proton] += base;
  back[sodium] -= base;

  for (std::size_t j = proton; j < first_solid; ++j) {
    to_cell[j] += back[j];
    to_permeate[j] -= back[j];
  }
  for (std::size_t f = 0; f < foulant_count; ++f) {
    const double carried = per_s * cell[first_solid + f];
    const double stays = r.settling_share * std::max(carried, 0.0);
    settled[f] = stays;
    to_permeate[first_solid + f] -= carried;
    to_cell[first_solid + f] += carried - stays;
  }
}

}  // namespace wetrun
