// Rejection moves amounts between two cells and the membrane: nothing lost, nothing charged.
#include <gtest/gtest.h>

#include <cmath>

#include "models/array/rejection.h"

namespace wetrun {
namespace {

Amounts neutral() {
  Amounts a{};
  a[volume_m3] = 0.05;
  a[heat_j] = 1e6;
  a[sodium] = 1.0;
  a[calcium] = 0.2;
  a[chloride] = 1.3;
  a[citrate] = 0.5;
  a[carbonate] = 0.1;
  a[proton] = 1.3 + 1.5 + 0.2 - 1.0 - 0.4;
  a[silica] = 0.05;
  a[ammonia] = 0.02;
  a[organic] = 0.01;
  a[solid_biofilm] = 0.02;
  return a;
}

double charge_of(const Amounts& a) {
  double sum = 0;
  for (std::size_t j = 0; j < component_count; ++j) sum += component_info[j].charge * a[j];
  return sum;
}

Amounts all_pass() {
  Amounts pass;
  pass.fill(1.0);
  return pass;
}

/// What really leaves for the permeate, per second: what the filter lets through and what passes besides.
Amounts permeates(const Amounts& cell, double flow_m3_s, const Amounts& pass, const Amounts& to_permeate) {
  Amounts sum{};
  for (std::size_t j = 0; j < component_count; ++j)
    sum[j] = pass[j] * flow_m3_s * cell[j] / cell[volume_m3] + to_permeate[j];
  return sum;
}

TEST(Rejection, IsConservativeAndNeutral) {
  const Amounts cell = neutral();
  ASSERT_NEAR(charge_of(cell), 0, 1e-15);
  Amounts to_cell{}, to_permeate{}, pass = all_pass();
  std::array<double, foulant_count> settled{};
  const Rejection r{0.02, 0.4, 1.0, 0.1, 3.0, 0.0};
  add_rejection(r, 1e-4, cell, pass, to_cell, to_permeate, settled);
  EXPECT_NEAR(charge_of(to_cell), 0, 1e-15);
  EXPECT_NEAR(charge_of(to_permeate), 0, 1e-15);
  EXPECT_NEAR(charge_of(permeates(cell, 1e-4, pass, to_permeate)), 0, 1e-15);
  for (std::size_t j = 0; j < component_count; ++j) {
    const double stays = j >= first_solid ? settled[j - first_solid] : 0.0;
    EXPECT_NEAR(to_cell[j] + to_permeate[j] + stays, 0, 1e-15) << component_info[j].name;
  }
  EXPECT_EQ(to_cell[volume_m3], 0);
  EXPECT_EQ(to_cell[heat_j], 0);
  EXPECT_EQ(pass[volume_m3], 1);
  EXPECT_EQ(pass[heat_j], 1);
  EXPECT_EQ(pass[calcium], 0.02);
  EXPECT_EQ(pass[first_solid], 0);
  EXPECT_NEAR(settled[biofilm], 0.4 * 1e-4 * 0.02 / 0.05, 1e-18);
}

TEST(Rejection, NeverTakesMoreThanPermeates) {
  const Amounts cell = neutral();
  Amounts to_cell{}, to_permeate{}, pass = all_pass();
  std::array<double, foulant_count> settled{};
  const Rejection r{0.0, 1.0, 1e9, 1e9, 1e9, 0.0};  // absurd: limited by what is there
  add_rejection(r, 1e-4, cell, pass, to_cell, to_permeate, settled);
  for (const Component j : {sodium, calcium, chloride, citrate, carbonate, ammonia, silica}) {
    const double out = permeates(cell, 1e-4, pass, to_permeate)[j];
    EXPECT_GE(out, -1e-18) << component_info[j].name;
    EXPECT_LE(out, 1e-4 * cell[j] / cell[volume_m3] + 1e-18) << component_info[j].name;
  }
}

TEST(Rejection, NothingIsHeldOfBackwardFlow) {
  Amounts to_cell{}, to_permeate{}, pass = all_pass();
  std::array<double, foulant_count> settled{};
  add_rejection({}, -1e-4, neutral(), pass, to_cell, to_permeate, settled);
  for (const double x : to_cell) EXPECT_EQ(x, 0);
  EXPECT_EQ(pass, all_pass());
}

}  // namespace
}  // namespace wetrun
