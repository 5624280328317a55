// One-to-one complexes: closed forms, hard cases, derivatives.
#include <gtest/gtest.h>

#include <cmath>

#include "models/solution/complexes.h"

namespace wetrun {
namespace {

Complexes one_pair(double metal, double ligand, double k) {
  Complexes c;
  c.metals = c.ligands = 1;
  c.metal_total[0] = c.metal[0] = metal;
  c.ligand_total[0] = ligand;
  c.k[0][0] = k;
  return c;
}

// C = k (TM - C)(TL - C): the quadratic, in the form without cancellation.
double quadratic(double metal, double ligand, double k) {
  const double b = metal + ligand + 1 / k;
  return 2 * metal * ligand / (b + std::sqrt(std::pow(metal - ligand, 2) + 2 * (metal + ligand) / k + 1 / (k * k)));
}

TEST(SolutionComplexes, OnePairIsTheQuadratic) {
  for (double metal : {1e-9, 1e-3, 1.0}) {
    for (double ligand : {1e-9, 1e-3, 1.0}) {
      for (double k : {1e-3, 1.0, 1e6, 1e12, 1e20}) {
        Complexes c = one_pair(metal, ligand, k);
        ASSERT_TRUE(c.solve());
        EXPECT_NEAR(c.bound[0][0], quadratic(metal, ligand, k), 2e-13 * std::max(metal, ligand));
      }
    }
  }
}

Complexes crowded() {
  Complexes c;
  c.metals = 3;
  c.ligands = 3;
  c.metal_total = {2e-3, 1e-3, 5e-4};
  c.metal = c.metal_total;
  c.ligand_total = {1e-3, 3e-3, 1e-2};
  c.k[0] = {1e9, 1e4, 10};
  c.k[1] = {1e7, 3e3, 100};
  c.k[2] = {1e22, 1e12, 1e3};
  return c;
}

void expect_balanced(const Complexes& c) {
  for (std::size_t m = 0; m < c.metals; ++m) {
    double sum = c.metal[m];
    for (std::size_t l = 0; l < c.ligands; ++l) sum += c.bound[m][l];
    EXPECT_NEAR(sum / c.metal_total[m], 1, 1e-12);
    EXPECT_GT(c.metal[m], 0);
  }
  for (std::size_t l = 0; l < c.ligands; ++l) {
    double sum = c.ligand[l];
    for (std::size_t m = 0; m < c.metals; ++m) sum += c.bound[m][l];
    EXPECT_NEAR(sum / c.ligand_total[l], 1, 1e-12);
  }
}

TEST(SolutionComplexes, ThreeMetalsFightForThreeLigands) {
  Complexes c = crowded();
  ASSERT_TRUE(c.solve());
  expect_balanced(c);
}

TEST(SolutionComplexes, EquivalentAmountsOfAStrongPair) {
  Complexes c = one_pair(1e-2, 1e-2, 1e20);
  ASSERT_TRUE(c.solve());
  EXPECT_NEAR(c.metal[0], 1e-11, 1e-12);  // sqrt(TM / k)
}

TEST(SolutionComplexes, GuessDoesNotMatter) {
  Complexes a = crowded(), b = crowded();
  b.metal = {1e-30, 1e30, 1e-9};
  ASSERT_TRUE(a.solve());
  ASSERT_TRUE(b.solve());
  for (std::size_t m = 0; m < 3; ++m) EXPECT_NEAR(b.metal[m] / a.metal[m], 1, 1e-9);
}

TEST(SolutionComplexes, SensitivityIsTheDerivative) {
  Complexes c = crowded();
  ASSERT_TRUE(c.solve());
  Complexes::Rates kappa{};
  kappa[0] = {0.3, -1, 0.5};
  kappa[1] = {1, 0.2, 0};
  kappa[2] = {-0.7, 0.1, 2};
  std::array<double, metal_count> dm{};
  std::array<double, ligand_count> dl{};
  c.factor();
  c.sensitivity(kappa, dm, dl);
  const double e = 1e-4;
  Complexes up = c, down = c;
  for (std::size_t m = 0; m < 3; ++m) {
    for (std::size_t l = 0; l < 3; ++l) {
      up.k[m][l] *= std::exp(e * kappa[m][l]);
      down.k[m][l] *= std::exp(-e * kappa[m][l]);
    }
  }
  ASSERT_TRUE(up.solve());
  ASSERT_TRUE(down.solve());
  for (std::size_t m = 0; m < 3; ++m) EXPECT_NEAR(dm[m], std::log(up.metal[m] / down.metal[m]) / (2 * e), 1e-5);
  for (std::size_t l = 0; l < 3; ++l) EXPECT_NEAR(dl[l], std::log(up.ligand[l] / down.ligand[l]) / (2 * e), 1e-5);
}

}  // namespace
}  // namespace wetrun
