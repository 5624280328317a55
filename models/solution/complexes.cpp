#include "models/solution/complexes.h"

#include <algorithm>
#include <cmath>

namespace wetrun {

namespace {
constexpr double tolerance = 1e-14, good_enough = 1e-12;
}

void Complexes::distribute() {
  for (std::size_t l = 0; l < ligands; ++l) {
    double s = 1;
    for (std::size_t m = 0; m < metals; ++m) s += k[m][l] * metal[m];
    ligand[l] = ligand_total[l] / s;
    for (std::size_t m = 0; m < metals; ++m) bound[m][l] = k[m][l] * metal[m] * ligand[l];
  }
}

double Complexes::worst_imbalance(std::array<double, metal_count>& f) const {
  double worst = 0;
  for (std::size_t m = 0; m < metals; ++m) {
    double sum = metal[m] - metal_total[m];
    for (std::size_t l = 0; l < ligands; ++l) sum += bound[m][l];
    f[m] = sum;
    worst = std::max(worst, std::abs(sum) / metal_total[m]);
  }
  return worst;
}

// J and its elimination factors (no pivoting: J is symmetric positive definite).
void Complexes::factor() {
  for (std::size_t m = 0; m < metals; ++m) {
    for (std::size_t i = 0; i < metals; ++i) j_[m][i] = 0;
    j_[m][m] = metal[m];
  }
  for (std::size_t l = 0; l < ligands; ++l) {
    const double share = 1 / ligand_total[l];
    for (std::size_t m = 0; m < metals; ++m) {
      double others = ligand[l];  // L_l + the complexes of the other metals = TL_l - C_ml, without cancellation
      for (std::size_t i = 0; i < metals; ++i) {
        if (i == m) continue;
        others += bound[i][l];
        j_[m][i] -= bound[m][l] * bound[i][l] * share;
      }
      j_[m][m] += bound[m][l] * others * share;
    }
  }
  for (std::size_t p = 0; p < metals; ++p) {
    for (std::size_t r = p + 1; r < metals; ++r) {
      const double f = j_[r][p] /= j_[p][p];
      for (std::size_t c = p + 1; c < metals; ++c) j_[r][c] -= f * j_[p][c];
    }
  }
}

// Replaces f by J^-1 f.
void Complexes::back_substitute(std::array<double, metal_count>& f) const {
  for (std::size_t p = 0; p < metals; ++p)
    for (std::size_t r = p + 1; r < metals; ++r) f[r] -= j_[r][p] * f[p];
  for (std::size_t p = metals; p-- > 0;) {
    for (std::size_t c = p + 1; c < metals; ++c) f[p] -= j_[p][c] * f[c];
    f[p] /= j_[p][p];
  }
}

bool Complexes::solve() {
  std::array<double, metal_count> low{}, f{};
  for (std::size_t m = 0; m < metals; ++m) {
    double s = 1;
    for (std::size_t l = 0; l < ligands; ++l) s += k[m][l] * ligand_total[l];
    low[m] = metal_total[m] / s;
    metal[m] = std::clamp(metal[m], low[m], metal_total[m]);
  }
  for (int step = 0; step < 40; ++step) {
    distribute();
    if (worst_imbalance(f) <= tolerance) return true;
    factor();
    back_substitute(f);
    for (std::size_t m = 0; m < metals; ++m) {
      const double next = metal[m] * (1 - f[m]);
      metal[m] = next > low[m] ? std::min(next, metal_total[m]) : low[m];
    }
  }
  distribute();
  return worst_imbalance(f) <= good_enough || solve_cyclic(low);
}

bool Complexes::solve_cyclic(const std::array<double, metal_count>& low) {
  metal = low;
  std::array<double, metal_count> f{};
  for (int sweep = 0; sweep < 2000; ++sweep) {
    for (std::size_t m = 0; m < metals; ++m) {
      for (int step = 0; step < 60; ++step) {  // Newton on a concave rising function, from the left: monotone
        distribute();
        double value = metal[m] - metal_total[m], slope = 1;
        for (std::size_t l = 0; l < ligands; ++l) {
          value += bound[m][l];
          slope += k[m][l] * ligand[l] * (1 - bound[m][l] / ligand_total[l]);
        }
        const double change = -value / slope;
        metal[m] = std::clamp(metal[m] + change, low[m], metal_total[m]);
        if (std::abs(change) <= 1e-15 * metal[m]) break;
      }
    }
    distribute();
    if (worst_imbalance(f) <= good_enough) return true;
  }
  return false;
}

void Complexes::sensitivity(const Rates& kappa, std::array<double, metal_count>& dln_metal,
                            std::array<double, ligand_count>& dln_ligand) const {
  std::array<double, ligand_count> pull{};  // sum_m C_ml kappa_ml / TL_l
  for (std::size_t l = 0; l < ligands; ++l) {
    double s = 0;
    for (std::size_t m = 0; m < metals; ++m) s += bound[m][l] * kappa[m][l];
    pull[l] = s / ligand_total[l];
  }
  for (std::size_t m = 0; m < metals; ++m) {
    double s = 0;
    for (std::size_t l = 0; l < ligands; ++l) s += bound[m][l] * (kappa[m][l] - pull[l]);
    dln_metal[m] = -s;
  }
  back_substitute(dln_metal);
  for (std::size_t l = 0; l < ligands; ++l) {
    double s = 0;
    for (std::size_t m = 0; m < metals; ++m) s += bound[m][l] * dln_metal[m];
    dln_ligand[l] = -pull[l] - s / ligand_total[l];
  }
}

}  // namespace wetrun
