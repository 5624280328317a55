// Free metals and ligands when each metal may bind each ligand one to one.
//
// Equations, at given pH and activity coefficients (all forms of a substance lumped into its pool):
//   C_ml = k_ml M_m L_l ;   M_m + sum_l C_ml = TM_m ;   L_l + sum_m C_ml = TL_l
// Eliminating L_l = TL_l / (1 + sum_m k_ml M_m) leaves F_m(M) = M_m + sum_l C_ml - TM_m = 0, the gradient (in ln M) of
// a convex function, so the solution is unique. Newton in ln M; its matrix
//   J_mj = d(m,j) (M_m + sum_l C_ml) - sum_l C_ml C_jl / TL_l
// is symmetric positive definite. Steps are held inside [TM/(1 + sum k TL), TM]. If Newton has not converged in 40
// steps, cyclic one-metal solves finish: F is an M-function, so they converge from the lower bound without fail (Ortega
// & Rheinboldt, 1970, Iterative Solution of Nonlinear Equations, sec. 13.5). Symbols: M, L free pools; C complexes; TM,
// TL totals [mol/kg]; k conditional constants [kg/mol]. Numerical notes: metal balances to 1e-14 of their totals (1e-12
// where round-off forbids), ligand balances to round-off. Errors: returns false when nothing converged (never seen; the
// caller throws NumericsError). Test: tests/unit/solution_complexes_test.cpp.
#pragma once
#include <array>
#include <cstddef>

namespace wetrun {

constexpr std::size_t metal_count = 5;
constexpr std::size_t ligand_count = 6;

struct Complexes {
  std::size_t metals = 0, ligands = 0;  // how many take part; the arrays are filled from 0
  std::array<double, metal_count> metal_total{}, metal{};
  std::array<double, ligand_count> ligand_total{}, ligand{};
  std::array<std::array<double, ligand_count>, metal_count> k{}, bound{};

  /// Solves for metal, ligand and bound. `metal` is the first guess (values outside the bounds are pulled in).
  bool solve();
  /// Rates of ln M and ln L when ln k changes at the rate kappa; needs a solved state and factor().
  using Rates = std::array<std::array<double, ligand_count>, metal_count>;
  void factor();
  void sensitivity(const Rates& kappa, std::array<double, metal_count>& dln_metal,
                   std::array<double, ligand_count>& dln_ligand) const;

private:
  void distribute();
  double worst_imbalance(std::array<double, metal_count>& f) const;
  void back_substitute(std::array<double, metal_count>& f) const;
  bool solve_cyclic(const std::array<double, metal_count>& low);

  std::array<std::array<double, metal_count>, metal_count> j_;  // J, then its factors
};

}  // namespace wetrun
